// `sweep`: a study over a grid, its table and report. Every cell is read and judged before the
// first runs. The verdict is that of all cells together: one that violates a requirement, or
// cannot be served, exits 1. A cell whose controller or model fails is told and exits 4 or 3; the
// others go on. Each finished cell is a file, from which --resume goes on after a kill.
#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>
#include <cstdio>
#include <memory>
#include <mutex>
#include <optional>

#include "sim/command/commands.h"
#include "sim/command/exit_code.h"
#include "sim/command/judged_first.h"
#include "sim/command/kept_findings.h"
#include "sim/command/out_lock.h"
#include "sim/command/progress.h"
#include "sim/command/size_of_work.h"
#include "sim/output/shown_units.h"
#include "sim/output/write_folder.h"
#include "sim/study/run/sentences.h"
#include "sim/study/run/tables.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/cell_file.h"
#include "sim/study/sweep/precision.h"
#include "sim/study/sweep/sweep.h"
#include "sim/study/sweep/sweep_cells.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/study/sweep/sweep_words.h"
#include "sim/text/read_once.h"

namespace sim::command {
namespace {

struct SweepOptions : CommonOptions, ScenarioOptions, ControllerOptions {
  bool resume = false;  // keep what a killed sweep has finished
  bool dry_run = false;
};

void define_sweep(CommandWords& words, SweepOptions& options) {
  add_common_options(words, options, "STUDY", "study file (TOML)");
  add_scenario_options(words, options);
  add_controller_options(words, options);
  words.flag("--resume", options.resume, "keep the cells that a killed sweep has finished");
  add_dry_run_option(words, options.dry_run);
  words.examples({"sillion sweep scenarios/demo_sweep.toml",
                  "sillion sweep scenarios/demo_sweep.toml --set replicas=1 --out out/quick "
                  "--json"});
}

/// The command that goes on with this one.
void complete_sweep(SweepOptions& options) {
  if (!options.resume) options.again += " --resume";
}

void print_cells(const sweep::SweepResult& result, output::Units units) {
  std::string head;
  std::size_t wide = 16;
  for (const sweep::SweepAxis& axis : result.axes) wide = std::max(wide, axis.key.size());
  for (const sweep::SweepAxis& axis : result.axes)
    head += fmt::format("{:>{}}", axis.key, wide + 2);
  std::fputs(
      (head + fmt::format("{:>12}{:>10}{:>12}{:>12}{:>10}{:>12}  {}\n", "within 10mm", "lower 95%",
                          "mean error", "sd", "gap share", "break-even", "requirements"))
          .c_str(),
      stdout);
  for (const sweep::SweepCell& cell : result.cells) {
    std::string line;
    for (const std::string& value : sweep::cell_labels(result, cell, units))
      line += fmt::format("{:>{}}", value, wide + 2);
    if (cell.failed()) {
      line += "  failed: " + cell.fault_words + "\n";
    } else if (!cell.servable) {
      line +=
          fmt::format("  not servable: the smallest outlet offset that would serve is {}\n",
                      output::shown(cell.tuned.smallest_offset_m, output::Measure::kPlace, units));
    } else {
      const measure::Figures& all = cell.summary.all;
      const auto place = [&](double place_m) {
        return output::shown(place_m, output::Measure::kPlace, units);
      };
      line += fmt::format("{:>12}{:>10}{:>12}{:>12}{:>10}{:>12}  {}",
                          run::goal_share(all.within[0].sensed_ratio),
                          run::goal_share(all.within[0].lower95_ratio),
                          place(all.placement_error.mean_m), place(all.placement_error.sd_m),
                          output::shown(all.gap_ratio, output::Measure::kShare, units),
                          place(sweep::break_even_m(cell)), sweep::cell_verdict(cell) + "\n");
    }
    std::fputs(line.c_str(), stdout);
  }
}

void print_precision(const sweep::SweepResult& result, output::Units units) {
  std::fputs((sweep::precision_sentence(result, units) + "\n").c_str(), stdout);
  for (const sweep::SweepPrecision& one : result.precision) {
    if (one.observations < 2 && result.stop.plan.most == 0) continue;  // nothing to say but that
    std::string line = " ";
    for (const std::string& value : one.held)
      if (!value.empty()) line += " " + value + ",";
    line.back() = line.back() == ',' ? ':' : ' ';
    line += fmt::format(" {}: {}\n", sweep::observed_words(result, one.observations),
                        sweep::precision_words(result, one, units));
    std::fputs(line.c_str(), stdout);
  }
}

constexpr std::string_view kSweepFiles[] = {"summary.json", "cells.csv", "report.html"};

/// Clears what an earlier sweep left, so that a killed one leaves no older results behind.
void prepare(const std::filesystem::path& out, bool resume) {
  std::error_code ignored;
  for (const std::string_view file : kSweepFiles)
    if (std::filesystem::is_regular_file(out / file, ignored))
      std::filesystem::remove(out / file, ignored);
  if (!resume) sweep::clear_cells(out);
}

/// Refuses a combination of values that cannot run before anything has run.
void judge_first(const sweep::Study& study, const SweepOptions& options,
                 const std::atomic<bool>& stop) {
  Progress progress("judging the cells of " + study.name, {}, options.hides_progress());
  std::mutex one_at_a_time;
  sweep::judge_cells(study, stop, [&](double done_ratio) {
    const std::lock_guard lock(one_at_a_time);
    progress.at(done_ratio);
  });
}

/// Runs what no earlier sweep has finished, and keeps each cell as it ends.
sweep::SweepResult run_kept(const sweep::Study& study, const std::filesystem::path& out,
                            const SweepOptions& options, const std::atomic<bool>& stop) {
  const sweep::LookedAt cells = sweep::look_at_cells(study, kMostLookedAt);
  const SweepWork work = work_of(
      study, cells, options.hides_progress() ? usual_pace() : measured_pace(cells.scenarios));
  Progress progress(study.name, {.row_s = work.row_s, .wall_s = work.processor_s / cores_in_use()},
                    options.hides_progress());
  return sweep::run_sweep(
      study, {.stop = &stop,
              .on_progress = [&](double done, double found) { progress.at(done, found); },
              .group_work_s = work.group_work_s,
              .find = [&](const sweep::CellPlan& plan) -> std::optional<sweep::FinishedCell> {
                if (!options.resume) return {};
                return sweep::read_cell(out, sweep::cell_inputs(study, plan));
              },
              .keep =
                  [&](const sweep::CellPlan& plan, const sweep::FinishedCell& done) {
                    const std::string inputs = sweep::cell_inputs(study, plan);
                    output::write_whole_file(sweep::cell_file(out, inputs),
                                             sweep::cell_json(inputs, plan, done));
                  }});
}

void tell_failed(const sweep::SweepResult& result) {
  for (const sweep::SweepCell& cell : result.cells) {
    if (!cell.failed()) continue;
    std::string values;
    for (const std::string& value : cell.values) values += (values.empty() ? "" : ", ") + value;
    spdlog::error("cell {}: {}: {}", values.empty() ? "without axes" : values,
                  cell.fault == sweep::CellFault::kController ? "controller" : "bench",
                  cell.fault_words);
  }
}

/// Says what the first line says.
int code_of(const sweep::SweepResult& result) {
  const sweep::CellCounts count = sweep::count_cells(result);
  bool placed = false, controller = false;
  for (const sweep::SweepCell& cell : result.cells) {
    if (cell.fault == sweep::CellFault::kBench) return kBenchFailed;
    controller = controller || cell.fault == sweep::CellFault::kController;
    placed = placed || cell.summary.all.seeds.placed > 0;
  }
  if (controller) return kControllerFailed;
  if (count.violated > 0 || count.unservable_required > 0) return kViolated;
  return placed && count.no_data == 0 ? kHeld : kNothingToJudge;
}

int execute_sweep(const SweepOptions& options, const std::atomic<bool>& stop) {
  const text::ReadOnce once;
  const sweep::Study study =
      sweep::load_study(options.input, sets_with_controller(options, options));
  const std::filesystem::path out =
      options.out.empty() ? std::filesystem::path("out") / study.name : options.out;
  if (options.dry_run) {
    print_size_of_sweep(study, out);
    return kHeld;
  }
  const OutLock lock(out, options.typed);
  require_free(out, kSweepFiles);
  judge_first(study, options, stop);
  prepare(out, options.resume);
  if (!options.quiet)
    std::fputs(fmt::format("sillion: if this is killed, go on with: {}\n", options.again).c_str(),
               stderr);
  sweep::SweepResult result = run_kept(study, out, options, stop);
  seal(result);
  sweep::write_sweep(result, out, options.units);
  tell_failed(result);
  if (options.json) {
    std::fputs(sweep::sweep_summary_json(result).c_str(), stdout);
  } else {
    std::fputs((sweep::sweep_sentence(result, options.units) + "\n").c_str(), stdout);
    print_cells(result, options.units);
    print_precision(result, options.units);
    std::fputs(fmt::format("report: {}\n", (out / "report.html").string()).c_str(), stdout);
  }
  return code_of(result);
}

}  // namespace

Command sweep_command() {
  const auto options = std::make_shared<SweepOptions>();
  return {
      .name = "sweep",
      .description = "many passes over values of ground speed, spacing or any other key",
      .define = [options](CommandWords& words) { define_sweep(words, *options); },
      .execute = [options](const std::atomic<bool>& stop) { return execute_sweep(*options, stop); },
      .common = options.get(),
      .controller = options.get(),
      .keeps = [options] { return kept_folder_of(options->out, options->dry_run); },
      .complete = [options] { complete_sweep(*options); }};
}

}  // namespace sim::command
