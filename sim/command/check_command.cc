// `check`: a suite against its requirements and the accepted results. Fails closed, retries
// nothing.
#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <array>
#include <cstdio>
#include <memory>
#include <optional>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/out_lock.h"
#include "sim/command/outside_world.h"
#include "sim/command/progress.h"
#include "sim/command/red_causes.h"
#include "sim/command/size_of_work.h"
#include "sim/command/suite_work.h"
#include "sim/command/typed_words.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/study/check/case_file.h"
#include "sim/study/check/junit.h"
#include "sim/study/check/suite_report.h"
#include "sim/study/run/tables.h"
#include "sim/text/quantity.h"

namespace sim::command {
namespace {

struct CheckOptions : SuiteOptions {
  SuiteChoice choice;
  output::Units units = output::Units::kMetric;
  std::string budget;   // a time, "120s"; empty: none
  bool strict = false;  // what waits for acceptance is exit 6
  bool resume = false;  // keep what a killed check has finished
  bool dry_run = false;
};

void define_check(CommandWords& words, CheckOptions& options) {
  add_suite_options(words, options);
  add_units_option(words, options.units);
  words.text("--budget", options.budget, "start no further scenario after this time, such as 120s");
  words.text("--only", options.choice.only,
             "run only the scenarios of that name (* and ? are wildcards); gives no verdict on the "
             "whole suite");
  words.flag("--strict", options.strict, "exit with code 6 where behaviour waits for acceptance");
  words.flag("--resume", options.resume, "keep the scenarios that a killed check has finished");
  words.flag("--fresh-keys", options.choice.keys.fresh,
             "draw other random keys, and with them other seeds and noise, in every scenario; the "
             "number that they come from is printed");
  words.text("--keys", options.choice.keys.from,
             "use the random keys that come from this number, as --fresh-keys printed it");
  add_dry_run_option(words, options.dry_run);
  words.examples({"sillion check scenarios/pull_request.toml --budget 180s --strict",
                  "sillion check scenarios/pull_request.toml --only 'row, curve/*' --controller "
                  "build/release/libsillion_reference.so"});
}

/// The command that goes on with this one: with the keys that are drawn now, and --resume.
void complete_check(CheckOptions& options) {
  draw_fresh_keys(options.choice.keys, options.again);
  if (!options.resume) options.again += " --resume";
}

double budget_s(const std::string& text) {
  if (text.empty()) return -1.0;
  const text::Quantity read = text::parse_quantity(text, text::Kind::kTime);
  if (!read.error.empty())
    throw text::InputError(fmt::format("--budget {}: {}{}", text, read.error,
                                       read.nearest.empty() ? "" : "; nearest: " + read.nearest));
  return read.value_si;
}

constexpr const char* kSuiteFiles[] = {"junit.xml", "cases.jsonl", "summary.md"};

/// Clears what an earlier check left, so that a killed one leaves no older verdict behind, and
/// finds out before the first pass whether there is room.
void prepare(const std::filesystem::path& out, bool resume, const check::SuiteResult& suite) {
  const std::filesystem::path probe = out / "runs" / "probe";
  output::write_whole_file(probe, "x");
  std::error_code ignored;
  std::filesystem::remove(probe, ignored);
  for (const char* file : kSuiteFiles)
    if (std::filesystem::is_regular_file(out / file, ignored))
      std::filesystem::remove(out / file, ignored);
  if (resume) return;
  for (const check::CaseResult& one : suite.results)
    std::filesystem::remove(check::case_file(out, one.id), ignored);
}

void print_plan(const check::SuiteResult& suite, const std::filesystem::path& out) {
  const std::vector<std::size_t> order = running_order(suite);
  std::vector<scenario::Scenario> scenarios;
  for (const std::size_t index : order) scenarios.push_back(suite.suite.cases[index].scenario);
  const Pace pace = measured_pace(scenarios);
  double all_row_s = 0.0, all_s = 0.0;
  std::vector<double> pieces_s;
  for (std::size_t k = 0; k < order.size(); ++k) {
    const check::SuiteCase& one = suite.suite.cases[order[k]];
    pieces_s.push_back(pass_s(scenarios[k], pace));
    all_row_s += row_time_s(scenarios[k]);
    all_s += pieces_s.back();
    std::fputs(fmt::format("{:>9} {:>7.0f} row-seconds {:>7.1f} s  {}\n",
                           one.mandatory ? "mandatory" : "optional", row_time_s(scenarios[k]),
                           pieces_s.back(), one.id)
                   .c_str(),
               stdout);
  }
  std::fputs(fmt::format("would run {} of {} scenarios in this order: {:.0f} row-seconds, {}, "
                         "{:.1f} MB into {}\n",
                         order.size(), suite.results.size(), all_row_s,
                         time_words(all_s, last_end_s(pieces_s, cores_in_use())),
                         static_cast<double>(suite.results.size()) * 8e-3 + 0.1, out.string())
                 .c_str(),
             stdout);
}

void run_rest(check::SuiteResult& suite, const std::filesystem::path& out,
              const CheckOptions& options, const std::atomic<bool>& stop) {
  const std::vector<std::size_t> order = running_order(suite);
  const Pace pace = usual_pace();
  double all_s = 0.0, done_s = 0.0, row_s = 0.0;
  for (const std::size_t index : order) {
    all_s += pass_s(suite.suite.cases[index].scenario, pace);
    row_s += row_time_s(suite.suite.cases[index].scenario);
  }
  Progress progress(suite.suite.name, {.row_s = row_s, .wall_s = all_s / cores_in_use()},
                    options.hides_progress());
  const double allowed_s = budget_s(options.budget);
  const Stopwatch since_start;
  check::run_cases(
      suite.suite, order,
      {.stop = &stop,
       .may_start = [&] { return allowed_s < 0.0 || since_start.spent_s() < allowed_s; },
       .clock_s = [&] { return since_start.spent_s(); },
       .on_case =
           [&](std::size_t index, check::CaseOutcome& outcome) {
             const check::SuiteCase& one = suite.suite.cases[index];
             if (outcome.state == check::CaseState::kJudged) seal(outcome.result);
             check::CaseResult result = check::case_result_of(one, outcome);
             result.inputs = suite.results[index].inputs;
             output::write_whole_file(check::case_file(out, one.id), check::case_json(result));
             suite.results[index] = std::move(result);
             done_s += pass_s(one.scenario, pace);
             progress.at(done_s / all_s);
           }});
}

int execute_check(const CheckOptions& options, const std::atomic<bool>& stop) {
  budget_s(options.budget);  // a mistake there shows before anything runs
  check::SuiteResult suite = load_suite_work(options, options.choice);
  const std::filesystem::path out = suite_folder(suite, options);
  std::optional<OutLock> lock;
  if (!options.dry_run) lock.emplace(out, options.typed);
  if (options.resume) take_finished(out, suite);
  if (options.dry_run) {
    print_plan(suite, out);
    return kHeld;
  }
  prepare(out, options.resume, suite);
  if (!options.quiet)
    std::fputs(fmt::format("sillion: if this is killed, go on with: {}\n", options.again).c_str(),
               stderr);
  if (!suite.keys_from.empty())
    spdlog::info("random keys drawn from {}; repeat with --keys {}", suite.keys_from,
                 suite.keys_from);
  run_rest(suite, out, options, stop);
  judge_suite(suite);
  add_red_causes(suite, stop);
  const int code = code_of(suite, options.strict);
  const std::array<output::ResultFile, 3> files = {
      {{kSuiteFiles[0], check::junit_xml(suite)},
       {kSuiteFiles[1], check::cases_jsonl(suite)},
       {kSuiteFiles[2], check::suite_markdown(suite, options.units)}}};
  output::write_folder(files, out);
  std::fputs(check::error_lines(suite, options.units).c_str(), stderr);
  if (options.json)
    std::fputs(check::suite_json(suite, code).c_str(), stdout);
  else
    std::fputs(fmt::format("{}\nresults: {}\n", check::suite_sentence(suite, options.units),
                           (out / "summary.md").string())
                   .c_str(),
               stdout);
  return code;
}

}  // namespace

Command check_command() {
  const auto options = std::make_shared<CheckOptions>();
  return {
      .name = "check",
      .description =
          "judge a suite by its requirements and against the accepted results: red or green",
      .define = [options](CommandWords& words) { define_check(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_check(*options, stop); },
      .common = options.get(),
      .controller = options.get(),
      .complete = [options] { complete_check(*options); },
      .many_passes = true};
}

}  // namespace sim::command
