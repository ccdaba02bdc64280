#include "sim/command/suite_work.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <charconv>

#include "sim/bench/random.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/shown_path.h"
#include "sim/scenario/loader.h"
#include "sim/study/check/case_file.h"
#include "sim/study/check/judged_metrics.h"
#include "sim/study/run/seal.h"
#include "sim/text/nearest.h"

namespace sim::command {
namespace {

std::uint64_t key_from(const std::string& text) {
  std::uint64_t key = 0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), key);
  if (error != std::errc() || end != text.data() + text.size())
    throw text::InputError(
        fmt::format("--keys {}: must be the whole number that fresh keys were drawn "
                    "from",
                    text));
  return key;
}

/// Other keys for all cases, drawn from one number, which is all that is needed to repeat them.
void draw_keys(const KeyOptions& keys, check::SuiteResult& suite) {
  if (keys.fresh) throw text::InputError("--fresh-keys and --keys: state one of them");
  if (keys.from.empty()) return;
  const std::uint64_t drawn = key_from(keys.from);
  suite.keys_from = std::to_string(drawn);
  for (std::size_t index = 0; index < suite.suite.cases.size(); ++index)
    check::set_rng_key(suite.suite.cases[index], bench::replica_key(drawn, index) >> 1);
}

/// Only the cases whose names match; keys are drawn before, so that a case keeps its own.
void choose_cases(const std::string& only, check::SuiteResult& suite) {
  if (only.empty()) return;
  // A family's name is what people type; its scenarios' names are long.
  const auto family = [](const std::string& id) { return id.substr(0, id.find('/')); };
  std::vector<std::string> names;
  for (const check::SuiteCase& one : suite.suite.cases) names.push_back(family(one.id));
  suite.left_out = std::erase_if(suite.suite.cases, [&](const check::SuiteCase& one) {
    return !check::glob_matches(only, one.id);
  });
  if (suite.suite.cases.empty())
    throw text::InputError(fmt::format("--only {}: matches no scenario; nearest valid name: `{}/*`",
                                       only, text::nearest_name(family(only), names)));
}

void find_baseline(const std::filesystem::path& stated, bool begins, check::SuiteResult& suite) {
  const std::filesystem::path file = stated.empty() ? suite.suite.baseline : stated;
  // Fresh seeds have no accepted results to be compared with.
  if (file.empty() || !suite.keys_from.empty()) return;
  suite.suite.baseline = file;
  std::error_code ignored;
  if (std::filesystem::exists(file, ignored) || (!stated.empty() && !begins)) {
    suite.baseline = check::read_baseline(file);
    return;
  }
  if (!begins)
    spdlog::warn("{} is not there yet: every scenario waits for acceptance", file.string());
  suite.baseline = check::Baseline{};
}

}  // namespace

check::SuiteResult load_suite_work(const SuiteOptions& options, const SuiteChoice& choice) {
  check::SuiteResult suite{.suite = check::load_suite(options.input),
                           .input = shown_path(options.input)};
  suite.controller = shown_path(options.controller);
  draw_keys(choice.keys, suite);
  choose_cases(choice.only, suite);
  find_baseline(options.baseline, choice.begins_baseline, suite);
  for (check::SuiteCase& one : suite.suite.cases) {
    one.base = shown_path(one.base);
    if (!options.controller.empty())
      one.scenario.controller.library = std::filesystem::absolute(options.controller).string();
    require_controller(one.scenario);
    suite.results.push_back({.id = one.id, .inputs = run::inputs_hash(one.scenario)});
  }
  return suite;
}

std::filesystem::path suite_folder(const check::SuiteResult& suite, const SuiteOptions& options) {
  return options.out.empty() ? std::filesystem::path("out") / suite.suite.name : options.out;
}

void take_finished(const std::filesystem::path& out, check::SuiteResult& suite) {
  for (check::CaseResult& result : suite.results)
    if (std::optional<check::CaseResult> found =
            check::read_case(check::case_file(out, result.id), result.id, result.inputs))
      result = *std::move(found);
}

void judge_suite(check::SuiteResult& suite) {
  suite.movements.clear();
  suite.gone.clear();
  if (!suite.baseline) return;
  const std::vector<double> margins_si = check::margins_of_si(suite.suite);
  for (const check::CaseResult& result : suite.results) {
    const auto found = suite.baseline->cases.find(result.id);
    suite.movements.push_back(check::movements_of(
        result, found == suite.baseline->cases.end() ? nullptr : &found->second, margins_si));
  }
  if (suite.left_out > 0) return;  // what was not asked for has not gone
  for (const auto& [id, accepted] : suite.baseline->cases)
    if (std::none_of(suite.results.begin(), suite.results.end(),
                     [&wanted = id](const check::CaseResult& one) { return one.id == wanted; }))
      suite.gone.push_back(id);
}

std::vector<std::size_t> running_order(const check::SuiteResult& suite) {
  struct Place {
    bool optional;
    double tightness_ratio;
    std::size_t index;
  };
  std::vector<Place> places;
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    if (suite.results[index].state != check::CaseState::kNotRun) continue;
    const check::BaselineCase* before = nullptr;
    if (suite.baseline) {
      const auto found = suite.baseline->cases.find(suite.results[index].id);
      if (found != suite.baseline->cases.end()) before = &found->second;
    }
    places.push_back(
        {!suite.suite.cases[index].mandatory, check::accepted_tightness_ratio(before), index});
  }
  std::stable_sort(places.begin(), places.end(), [](const Place& a, const Place& b) {
    return a.optional != b.optional ? b.optional : a.tightness_ratio < b.tightness_ratio;
  });
  std::vector<std::size_t> order;
  for (const Place& place : places) order.push_back(place.index);
  return order;
}

int code_of(check::Trouble trouble, bool strict) {
  switch (trouble) {
    case check::Trouble::kBytes: return kDifferentBytes;
    case check::Trouble::kBench: return kBenchFailed;
    case check::Trouble::kInput: return kBadInput;
    case check::Trouble::kController: return kControllerFailed;
    case check::Trouble::kViolated:
    case check::Trouble::kWorse: return kViolated;
    case check::Trouble::kNoData: return kNothingToJudge;
    case check::Trouble::kMissing: return kBudgetSpent;
    case check::Trouble::kChanged: return strict ? kChanged : kHeld;
    case check::Trouble::kNone: break;
  }
  return kHeld;
}

int code_of(const check::SuiteResult& suite, bool strict) {
  check::Trouble worst = suite.gone.empty() ? check::Trouble::kNone : check::Trouble::kChanged;
  bool ran = false;
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    worst = std::max(worst, check::trouble_of(suite, index));
    ran = ran || suite.results[index].state != check::CaseState::kNotRun;
  }
  return code_of(ran ? worst : std::max(worst, check::Trouble::kNoData), strict);
}

}  // namespace sim::command
