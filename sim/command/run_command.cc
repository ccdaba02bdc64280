// `run`: one pass, its files, its verdict.
#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <cstdio>
#include <memory>
#include <optional>

#include "sim/command/budget_command.h"
#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/kept_findings.h"
#include "sim/command/live_pass.h"
#include "sim/command/out_lock.h"
#include "sim/command/outlet_command.h"
#include "sim/command/prescribed_rate.h"
#include "sim/command/progress.h"
#include "sim/command/shown_path.h"
#include "sim/command/shown_requirements.h"
#include "sim/command/size_of_work.h"
#include "sim/command/wave_option.h"
#include "sim/output/shown_units.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/scenario/recorded_drive.h"
#include "sim/study/budget/budget_tables.h"
#include "sim/study/check/case_result.h"
#include "sim/study/outlet/outlet_report.h"
#include "sim/study/run/drive_report.h"
#include "sim/study/run/run.h"
#include "sim/study/run/run_parts.h"
#include "sim/study/run/sentences.h"
#include "sim/study/run/tables.h"
#include "sim/text/shell_word.h"

namespace sim::command {
namespace {

struct RunOptions : CommonOptions, ScenarioOptions, ControllerOptions, PrescriptionOptions {
  bool dry_run = false;
  std::filesystem::path furrow;  // also write the furrow drawing there
  std::filesystem::path wave;    // waveform of one seed, and the same as CSV beside it
  int row = -1;                  // with wave; -1: where a requirement is worst
  int seed = -1;
  int live = -1;        // seconds of the pass per second of the clock; -1: not shown
  bool budget = false;  // also whose error it is
  int orders = budget::kUsualOrders;
  int budget_seeds = 100;  // of each row, at most
  bool outlet = false;     // also the outlet study of its attachment
};

void define_run(CommandWords& words, RunOptions& options) {
  add_common_options(words, options, "SCENARIO", "scenario file (TOML)");
  add_scenario_options(words, options);
  add_dry_run_option(words, options.dry_run);
  words.path("--furrow", options.furrow,
             "also write the drawing of the furrow as SVG to this file");
  add_controller_options(words, options);
  words.number(
      "--live", options.live, NumberRange{0, 1000},
      "show the pass second by second, at this multiple of real time; 0: as fast as it goes");
  add_wave_option(words, options.wave);
  words.number(
      "--row", options.row,
      "with --wave: row of the seed (without --row and --seed: where a requirement is worst)");
  words.number("--seed", options.seed, "with --wave: seed of that row, counted from 0");
  words.flag("--budget", options.budget,
             "also share the error out among its causes, as `sillion budget` does");
  add_order_option(words, options.orders);
  words.number("--budget-seeds", options.budget_seeds, {1, 1'000'000},
               "with --budget: the largest number of seeds per row", Default::kShown);
  words.flag("--outlet", options.outlet,
             "also choose outlet, tube and hose for its attachment, as `sillion outlet` does");
  add_prescription_options(words, options);
  words.examples({"sillion run scenarios/demo.toml",
                  "sillion run scenarios/demo.toml --set travel.speed=\"12 km/h\" --out "
                  "out/slower --units us"});
}

/// The command that shows one seed step by step, but for the seed, with the files as given.
std::string explain_start(const std::string& input, const std::string& controller,
                          const RunOptions& options) {
  std::string line = "sillion explain " + text::shell_word(input);
  for (const std::string& set : options.sets)
    if (!set.starts_with("controller.library=") || options.controller.empty())
      line += fmt::format(" --set {}", text::shell_word(set));
  if (!controller.empty()) line += fmt::format(" --controller {}", text::shell_word(controller));
  return line;
}

/// The command that shows the seed where a requirement is worst.
std::string explain_line(const measure::Witness& worst, const RunOptions& options) {
  const std::string controller = options.controller.empty() ? "" : shown_path(options.controller);
  return explain_start(shown_path(options.input), controller, options) +
         fmt::format(" --row {} --seed {}", worst.row, worst.seed);
}

/// The same for the report, which names files without their folders.
std::string explain_of_report(const RunOptions& options) {
  return explain_start(std::filesystem::path(options.input).filename().string(),
                       std::filesystem::path(options.controller).filename().string(), options);
}

/// The seed to show: as asked, else where the first violated requirement is worst, else one that
/// stands alone.
bench::Watch wave_seed(const measure::Summary& summary, const RunOptions& options) {
  if (options.row >= 0 || options.seed >= 0)
    return {std::max(0, options.row), options.seed < 0 ? bench::kWatchTypical : options.seed};
  for (const measure::RequirementResult& one : summary.requirements)
    if (one.seen && !one.holds && one.worst.row >= 0 && one.worst.seed >= 0)
      return {one.worst.row, one.worst.seed};
  return {0, bench::kWatchTypical};
}

/// The pass once more with its waveform: which seed to show is known only after the first.
void show_wave(const scenario::Scenario& scenario, const bench::Watch& seed,
               const RunOptions& options, const std::atomic<bool>& stop) {
  run::RunResult shown = run::run_scenario(
      scenario,
      {.watch = seed, .stop = &stop, .on_progress = {}, .wave = true, .keep_fault = true});
  if (shown.record.watched.row < 0)
    throw text::InputError(fmt::format("--row {} --seed {}: no such seed in {}", options.row,
                                       options.seed, scenario.name));
  seal(shown);
  const std::string written = write_wave(shown, options.wave);
  if (!options.json) std::fputs(written.c_str(), stdout);
}

/// A controller that failed leaves no result behind, but what it did up to there can be seen.
int tell_fault(const scenario::Scenario& scenario, const run::RunResult& result,
               const RunOptions& options, const std::atomic<bool>& stop) {
  spdlog::error("controller: {}", result.record.fault.text);
  measure::Witness at = check::fault_witness(result);
  at.row = std::max(0, at.row);
  if (at.seed >= 0) spdlog::error("what it did up to this fault: {}", explain_line(at, options));
  if (!options.wave.empty() && at.seed >= 0) show_wave(scenario, {at.row, at.seed}, options, stop);
  return kControllerFailed;
}

/// A budget passes many times over: it takes the first seeds of each row, and its section says how
/// many.
scenario::Scenario shortened(const scenario::Scenario& scenario, const RunOptions& options) {
  scenario::Scenario first = scenario;
  if (scenario.duration_s == 0.0) first.seeds = std::min(scenario.seeds, options.budget_seeds);
  return first;
}

run::ReportExtras extras_of(const run::RunResult& result,
                            const std::optional<scenario::NmeaCounts>& log,
                            const RunOptions& options, const std::atomic<bool>& stop) {
  run::ReportExtras extras = {run::drive_extra(result, log, options.units),
                              {.explain = explain_of_report(options)}};
  if (options.budget)
    extras.push_back(budget::budget_extra(budget_of(shortened(result.scenario, options),
                                                    options.orders, options.hides_progress(), stop),
                                          options.units));
  if (options.outlet)
    extras.push_back(outlet::outlet_extra(
        outlet_of(result.scenario, OutletWords{}, options.hides_progress(), stop), options.units));
  return extras;
}

int execute_run(RunOptions options, const std::atomic<bool>& stop) {
  prescribe(options, options.input, options.sets);
  const std::vector<std::string> sets = sets_with_controller(options, options);
  const scenario::Scenario scenario = scenario::load_scenario(options.input, sets);
  require_controller(scenario);
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / scenario.name : options.out;
  if (options.dry_run) {
    print_size_of_run(scenario, out);
    if (options.budget) print_size_of_budget(shortened(scenario, options), options.orders, out);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  constexpr std::string_view kResults[] = {"summary.json", "seeds.csv", "applied.csv",
                                           "report.html"};
  require_free(out, kResults);
  require_writable(options.wave);
  require_writable(options.furrow);
  const std::optional<scenario::NmeaCounts> log = scenario::drive_log_counts(options.input, sets);
  spdlog::debug("scenario {}: {} rows, {} seeds a row", scenario.name, scenario.row.count,
                scenario.seeds);
  Progress progress(
      scenario.name,
      {.row_s = row_time_s(scenario), .wall_s = pass_s(scenario, usual_pace()) / cores_in_use()},
      options.hides_progress() || options.live >= 0);
  LivePass live(options.live, options.units, options.json ? stderr : stdout, stop);
  const run::RunParts parts = run::parts_of_run(scenario);
  run::RunResult result = run::run_scenario(
      scenario, {.stop = &stop,
                 .on_progress =
                     [&](double done_ratio) {
                       progress.at(done_ratio, 0.0, run::part_under_way(parts, done_ratio));
                     },
                 .on_second = live.of_pass(),
                 .keep_fault = true});
  if (!result.record.fault.text.empty()) return tell_fault(scenario, result, options, stop);
  seal(result);
  const run::ReportExtras extras = extras_of(result, log, options, stop);
  run::write_run(result, out, options.units, extras);
  if (!options.furrow.empty())
    output::write_whole_file(options.furrow, run::furrow_svg(result, options.units));
  if (options.json) {
    std::fputs(run::summary_json(result, extras).c_str(), stdout);
  } else {
    std::fputs((run::run_sentence(result, options.units, extras) + "\n").c_str(), stdout);
    print_requirements(result.summary, options.units,
                       [&](const measure::Witness& worst) { return explain_line(worst, options); });
    for (const std::string& line : run::drive_lines(result, log, options.units))
      std::fputs((line + "\n").c_str(), stdout);
    std::fputs(fmt::format("report: {}\n", (out / "report.html").string()).c_str(), stdout);
  }
  if (!options.wave.empty()) show_wave(scenario, wave_seed(result.summary, options), options, stop);
  return code_of_pass(result.summary);
}

}  // namespace

Command run_command() {
  const auto options = std::make_shared<RunOptions>();
  return {
      .name = "run",
      .description = "one pass over the field: where each band lies against its own seed",
      .define = [options](CommandWords& words) { define_run(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_run(*options, stop); },
      .common = options.get(),
      .controller = options.get(),
      .keeps = [options] { return kept_folder_of(options->out, options->dry_run); }};
}

}  // namespace sim::command
