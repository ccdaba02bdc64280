// `accept`: takes the last results of `check` as the accepted ones, where nothing speaks against
// it.
//
// Refused: in CI; a requirement violated, or a fault; two runs that differ in bytes; a drift since
// the release mark beyond the margin; more than a tenth of the accepted scenarios at once without
// --bulk. --release moves the mark to what is accepted already and takes nothing.
#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <cstdio>
#include <memory>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/out_lock.h"
#include "sim/command/outside_world.h"
#include "sim/command/suite_work.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/study/check/case_file.h"
#include "sim/study/check/judged_metrics.h"
#include "sim/study/check/suite_words.h"
#include "sim/study/run/tables.h"
#include "sim/text/nearest.h"

namespace sim::command {
namespace {

struct AcceptOptions : SuiteOptions {
  std::string only;      // a glob over cases
  std::string reason;    // why this is right
  bool bulk = false;     // more than a tenth may move
  bool release = false;  // mark what is accepted as released
};

void define_accept(CommandWords& words, AcceptOptions& options) {
  add_suite_options(words, options);
  words.text("--only", options.only, "which scenarios to accept: a name; * and ? are wildcards",
             Need::kRequired);
  words.text("--reason", options.reason,
             "why the new results are right; the baseline keeps this text", Need::kRequired);
  words.flag("--bulk", options.bulk,
             "allow more than a tenth of the accepted scenarios to move at once");
  words.flag(
      "--release", options.release,
      "mark the accepted results as released and accept nothing new; drift counts from them");
  words.examples(
      {"sillion accept scenarios/pull_request.toml --only 'row, ramp*' --reason \"the "
       "lag is compensated now\"",
       "sillion accept scenarios/pull_request.toml --only '*' --release --reason "
       "\"version 1.4\""});
}

/// Of the accepted scenarios may move at once without --bulk.
constexpr std::size_t kMostMovedOneIn = 10;

std::vector<std::size_t> selected_cases(const check::SuiteResult& suite, const std::string& only) {
  std::vector<std::size_t> selected;
  std::vector<std::string> names;
  bool gone = false;
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    names.push_back(suite.results[index].id);
    if (check::glob_matches(only, names.back())) selected.push_back(index);
  }
  for (const std::string& id : suite.gone) gone = gone || check::glob_matches(only, id);
  if (selected.empty() && !gone)
    throw text::InputError(fmt::format("--only {}: matches no scenario; nearest valid name: `{}`",
                                       only, text::nearest_name(only, names)));
  return selected;
}

/// The exit code of the first refusal, told; 0: none.
int refused(const check::SuiteResult& suite, std::size_t index) {
  const check::CaseResult& result = suite.results[index];
  const check::Trouble trouble = check::trouble_of(suite, index);
  if (trouble >= check::Trouble::kNoData && trouble != check::Trouble::kWorse) {
    spdlog::error("{} is refused: {}", result.id,
                  check::trouble_lines(suite, index, output::Units::kMetric).front().words);
    return code_of(trouble, true);
  }
  for (const check::Moved& one : suite.movements[index].drifted) {
    spdlog::error(
        "{} is refused: {} has worsened by {:.4g} {} since the last release mark, more than its "
        "margin of {:.4g}",
        result.id, one.metric, one.drift_worse_si, one.unit, one.margin_si);
    return kViolated;
  }
  return kHeld;
}

/// Runs a case once more: what is to be accepted must repeat to the byte.
bool repeats(const check::SuiteResult& suite, std::size_t index, const std::atomic<bool>& stop) {
  check::CaseOutcome outcome = check::run_case(suite.suite.cases[index].scenario, &stop);
  if (outcome.state != check::CaseState::kJudged) return false;
  seal(outcome.result);
  return outcome.result.hashes.result == suite.results[index].hashes.result;
}

void write_baseline(const check::SuiteResult& suite) {
  output::write_whole_file(suite.suite.baseline, check::baseline_text(*suite.baseline));
}

int move_release_mark(check::SuiteResult& suite, const std::vector<std::size_t>& selected,
                      const std::string& reason) {
  for (const std::size_t index : selected) {
    const auto found = suite.baseline->cases.find(suite.results[index].id);
    if (found == suite.baseline->cases.end() ||
        suite.movements[index].movement != check::Movement::kSame)
      throw text::InputError(
          fmt::format("{}: waits for acceptance; accept it before its release is "
                      "marked",
                      suite.results[index].id));
    for (auto& [name, value] : found->second.values) value.released_si = value.value_si;
    found->second.reason = "release: " + reason;
  }
  write_baseline(suite);
  std::fputs(fmt::format("{} scenario{} marked as released in {}\n", selected.size(),
                         selected.size() == 1 ? "" : "s", suite.suite.baseline.string())
                 .c_str(),
             stdout);
  return kHeld;
}

/// Those of the selected that have something to take.
std::vector<std::size_t> moved_cases(const check::SuiteResult& suite,
                                     const std::vector<std::size_t>& selected) {
  std::vector<std::size_t> moved;
  for (const std::size_t index : selected)
    if (suite.movements[index].movement != check::Movement::kSame) moved.push_back(index);
  return moved;
}

bool too_many(const check::SuiteResult& suite, const std::vector<std::size_t>& moved) {
  std::size_t known = 0;
  for (const std::size_t index : moved)
    known += suite.movements[index].movement != check::Movement::kNew ? 1 : 0;
  return known * kMostMovedOneIn > suite.baseline->cases.size();
}

int take(check::SuiteResult& suite, const std::vector<std::size_t>& moved,
         const AcceptOptions& asked, const std::atomic<bool>& stop) {
  for (const std::size_t index : moved)
    if (const int code = refused(suite, index); code != kHeld) return code;
  if (too_many(suite, moved) && !asked.bulk) {
    spdlog::error(
        "{} scenarios change at once, more than a tenth of the {} accepted: look at them, then add "
        "--bulk",
        moved.size(), suite.baseline->cases.size());
    return kBadInput;
  }
  for (const std::size_t index : moved) {
    const std::string& id = suite.results[index].id;
    if (!repeats(suite, index, stop)) {
      spdlog::error("{} is refused: when it was run once more, its result had other bytes", id);
      return kDifferentBytes;
    }
    const auto found = suite.baseline->cases.find(id);
    const check::BaselineCase* before =
        found == suite.baseline->cases.end() ? nullptr : &found->second;
    suite.baseline->cases[id] = check::baseline_case_of(suite.results[index], before, asked.reason);
  }
  std::size_t gone = 0;
  for (const std::string& id : suite.gone)
    if (check::glob_matches(asked.only, id)) gone += suite.baseline->cases.erase(id);
  if (moved.empty() && gone == 0) {
    std::fputs("nothing to accept: these results are the accepted ones\n", stdout);
    return kHeld;
  }
  write_baseline(suite);
  std::fputs(
      fmt::format("accepted {} scenario{} into {}{}\n", moved.size(), moved.size() == 1 ? "" : "s",
                  suite.suite.baseline.string(),
                  gone > 0 ? fmt::format("; {} removed that the suite no longer has", gone) : "")
          .c_str(),
      stdout);
  return kHeld;
}

int execute_accept(const AcceptOptions& options, const std::atomic<bool>& stop) {
  if (runs_in_ci())
    throw text::InputError("accept: refused where CI=true: a person accepts, not a job");
  if (options.reason.find_first_not_of(" \t") == std::string::npos)
    throw text::InputError("--reason: say in words why this is right");
  check::SuiteResult suite = load_suite_work(options, {.begins_baseline = true});
  if (suite.suite.baseline.empty())
    throw text::InputError(
        fmt::format("{}: baseline: is missing; state it there or with --baseline", options.input));
  const std::filesystem::path out = suite_folder(suite, options);
  const OutLock lock(out, options.typed);
  take_finished(out, suite);
  judge_suite(suite);
  const std::vector<std::size_t> selected = selected_cases(suite, options.only);
  for (const std::size_t index : selected)
    if (suite.results[index].state == check::CaseState::kNotRun)
      throw text::InputError(
          fmt::format("{}: has no result of this build in {}; run first: sillion check "
                      "{}",
                      suite.results[index].id, out.string(), options.input));
  if (options.release) return move_release_mark(suite, selected, options.reason);
  return take(suite, moved_cases(suite, selected), options, stop);
}

}  // namespace

Command accept_command() {
  const auto options = std::make_shared<AcceptOptions>();
  return {.name = "accept",
          .description = "take the last results of `check` as the accepted ones",
          .define = [options](CommandWords& words) { define_accept(words, *options); },
          .execute =
              [options](const std::atomic<bool>& stop) { return execute_accept(*options, stop); },
          .common = options.get(),
          .controller = options.get()};
}

}  // namespace sim::command
