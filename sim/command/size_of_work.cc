#include "sim/command/size_of_work.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>

#include "sim/study/budget.h"
#include "sim/study/sweep_cells.h"
#include "sim/study/tune.h"

namespace sim {
namespace {

constexpr double kBytesPerSeed_ratio = 180.0;

double seeds_of(const Scenario& scenario) {
  if (scenario.duration_s <= 0.0) return static_cast<double>(scenario.seeds) * scenario.row.count;
  return scenario.duration_s * judged_speed_mps(scenario) / scenario.seeding.meter.spacing_m *
         scenario.row.count;
}

}  // namespace

void print_size_of_run(const Scenario& scenario, const std::filesystem::path& out) {
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

void print_size_of_budget(const Scenario& scenario, int orders, const std::filesystem::path& out) {
  const int passes = budget_passes(scenario, orders);
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

SweepWork work_of(const Study& study, const std::vector<Scenario>& cells, const Pace& pace) {
  SweepWork work;
  const std::size_t groups = group_count(study);
  const int passes = most_passes(study);
  work.group_work_s.resize(groups);
  for (std::size_t k = 0; k < cells.size(); ++k) {
    const Scenario& cell = cells[k];
    // A cell tunes once, and once more for the strip test of each pass.
    const double strip_tunings = cell.controller.row_trim ? passes : 0;  // tidy: unit none
    const double cell_s =
        tuned_pass_s(cell, pace) * passes + (1.0 + strip_tunings) * pace.of(cell).tuning_s;
    work.row_s += row_time_s(cell) * passes;
    work.processor_s += cell_s;
    work.group_work_s[k * groups / cells.size()] += cell_s;
  }
  if (!cells.empty()) work.processor_s += pass_s(cells.front(), pace);
  return work;
}

void print_size_of_sweep(const Study& study, const std::filesystem::path& out) {
  double seeds = 0.0;
  const int passes = most_passes(study);
  const std::vector<Scenario> cells = cell_scenarios(study);
  for (const Scenario& cell : cells) seeds += seeds_of(cell) * passes;
  const SweepWork work = work_of(study, cells, measured_pace(cells));
  const char* most = study.stop.most > 0 ? "at most " : "";
  const bool grid = study.sampling == Sampling::kGrid;
  std::fputs(
      fmt::format("would run {}: {}{} {} of {}{} {}, {:.0f} seeds, {:.0f} row-seconds, "
                  "{}, {:.1f} MB into {}\n",
                  study.name, grid ? "" : most, cells.size(), grid ? "cells" : "samples",
                  grid ? most : "", passes, passes == 1 ? "pass" : "passes", seeds, work.row_s,
                  time_words(work.processor_s, work.processor_s / cores_in_use()),
                  1.0 + 0.02 * static_cast<double>(cells.size()), out.string())
          .c_str(),
      stdout);
}

}  // namespace sim
