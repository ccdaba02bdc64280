#include "sim/command/size_of_work.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>

#include "sim/study/budget/budget.h"
#include "sim/study/tune/tune.h"

namespace sim::command {
namespace {

constexpr double kBytesPerSeed_ratio = 180.0;

double seeds_of(const scenario::Scenario& scenario) {
  if (scenario.duration_s <= 0.0) return static_cast<double>(scenario.seeds) * scenario.row.count;
  return scenario.duration_s * tune::judged_speed_mps(scenario) / scenario.seeding.meter.spacing_m *
         scenario.row.count;
}

std::string disk_words(double size_mb) {  // tidy: unit megabytes
  return size_mb < 1000.0 ? fmt::format("{:.1f} MB", size_mb)
                          : fmt::format("{:.1f} GB", size_mb * 1e-3);
}

}  // namespace

void print_size_of_run(const scenario::Scenario& scenario, const std::filesystem::path& out) {
  const Pace pace = measured_pace({&scenario, 1});
  const double all_s = pass_s(scenario, pace);
  const double rows_s = tuned_pass_s(scenario, pace);
  // Rows share the cores; the tuning is one train after the other.
  const double wall_s = all_s - rows_s + rows_s / std::min(cores_in_use(), scenario.row.count);
  std::fputs(fmt::format("would run {}: {:.0f} seeds, {:.0f} row-seconds, {}, {:.1f} MB into {}\n",
                         scenario.name, seeds_of(scenario), row_time_s(scenario),
                         time_words(all_s, wall_s),
                         seeds_of(scenario) * kBytesPerSeed_ratio * 1e-6 + 0.5, out.string())
                 .c_str(),
             stdout);
}

void print_size_of_budget(const scenario::Scenario& scenario, int orders,
                          const std::filesystem::path& out) {
  const int passes = budget::budget_passes(scenario, orders);
  const Pace pace = measured_pace({&scenario, 1});
  const double tunings_s = pass_s(scenario, pace) - tuned_pass_s(scenario, pace);
  const double passes_s = tuned_pass_s(scenario, pace) * passes;
  std::fputs(fmt::format("would run {}: {} passes of {:.0f} seeds, {:.0f} row-seconds, {}, "
                         "{:.1f} MB into {}\n",
                         scenario.name, passes, seeds_of(scenario), row_time_s(scenario) * passes,
                         time_words(tunings_s + passes_s, tunings_s + passes_s / cores_in_use()),
                         seeds_of(scenario) * kBytesPerSeed_ratio * 2e-6 + 0.1, out.string())
                 .c_str(),
             stdout);
}

SweepWork work_of(const sweep::Study& study, const sweep::LookedAt& cells, const Pace& pace) {
  SweepWork work;
  const std::size_t count = sweep::cell_count(study);
  const bool all = cells.scenarios.size() == count;
  const double each = static_cast<double>(count) / static_cast<double>(cells.scenarios.size());
  const int passes = sweep::most_passes(study);
  if (all) work.group_work_s.resize(sweep::group_count(study));
  for (std::size_t k = 0; k < cells.scenarios.size(); ++k) {
    const scenario::Scenario& cell = cells.scenarios[k];
    // A cell tunes once, and once more for the strip test of each pass.
    const double strip_tunings = cell.controller.row_trim ? passes : 0;  // tidy: unit none
    const double cell_s =
        tuned_pass_s(cell, pace) * passes + (1.0 + strip_tunings) * pace.of(cell).tuning_s;
    work.row_s += each * row_time_s(cell) * passes;
    work.processor_s += each * cell_s;
    work.seeds += each * seeds_of(cell) * passes;
    if (all) work.group_work_s[cells.groups[k]] += cell_s;
  }
  work.processor_s += pass_s(cells.scenarios.front(), pace);
  return work;
}

void print_size_of_sweep(const sweep::Study& study, const std::filesystem::path& out) {
  const int passes = sweep::most_passes(study);
  const std::size_t count = sweep::cell_count(study);
  const sweep::LookedAt cells = sweep::look_at_cells(study, kMostLookedAt);
  const SweepWork work = work_of(study, cells, measured_pace(cells.scenarios));
  const char* most = study.stop.most > 0 ? "at most " : "";
  const bool grid = study.sampling == scenario::Sampling::kGrid;
  std::string line = fmt::format(
      "would run {}: {}{} {} of {}{} {}, {:.0f} seeds, {:.0f} row-seconds, {}, {} into {}",
      study.name, grid ? "" : most, count,
      grid ? (count == 1 ? "cell" : "cells") : (count == 1 ? "sample" : "samples"),
      grid ? most : "", passes, passes == 1 ? "pass" : "passes", work.seeds, work.row_s,
      time_words(work.processor_s, work.processor_s / cores_in_use()),
      disk_words(1.0 + 0.02 * static_cast<double>(count)), out.string());
  if (cells.scenarios.size() < count)
    line += fmt::format("; {} of the cells were looked at", cells.scenarios.size());
  std::fputs((line + "\n").c_str(), stdout);
}

}  // namespace sim::command
