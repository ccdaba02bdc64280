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

double row_time_s(const Scenario& scenario) {
  const double speed_mps = std::max(judged_speed_mps(scenario), 0.1);
  const double a_row_s = scenario.duration_s > 0.0
                             ? scenario.duration_s
                             : scenario.seeds * scenario.seeding.meter.spacing_m / speed_mps + 2.0;
  const double strip_s =
      scenario.controller.row_trim
          ? scenario.controller.strip_test_bands * scenario.seeding.meter.spacing_m / speed_mps +
                6.0
          : 0.0;
  return (a_row_s + strip_s) * scenario.row.count;
}

void print_size_of_run(const Scenario& scenario, const std::filesystem::path& out) {
  std::fputs(fmt::format("would run {}: {:.0f} seeds, {:.0f} row-seconds, about {:.0f} s on one "
                         "core, {:.1f} MB into {}\n",
                         scenario.name, seeds_of(scenario), row_time_s(scenario),
                         row_time_s(scenario) / kRowSecondsPerSecond_ratio,
                         seeds_of(scenario) * kBytesPerSeed_ratio * 1e-6 + 0.5, out.string())
                 .c_str(),
             stdout);
}

void print_size_of_budget(const Scenario& scenario, int orders, const std::filesystem::path& out) {
  const int passes = budget_passes(scenario, orders);
  const double all_s = row_time_s(scenario) * passes;
  std::fputs(
      fmt::format("would run {}: {} passes of {:.0f} seeds, {:.0f} row-seconds, about {:.0f} "
                  "s on one core, {:.1f} MB into {}\n",
                  scenario.name, passes, seeds_of(scenario), all_s,
                  all_s / kRowSecondsPerSecond_ratio,
                  seeds_of(scenario) * kBytesPerSeed_ratio * 2e-6 + 0.1, out.string())
          .c_str(),
      stdout);
}

double row_time_s(const Study& study) {
  double sum_s = 0.0;
  for (const Scenario& cell : cell_scenarios(study)) sum_s += row_time_s(cell) * most_passes(study);
  return sum_s;
}

void print_size_of_sweep(const Study& study, const std::filesystem::path& out) {
  double seeds = 0.0;
  const int passes = most_passes(study);
  const auto cells = cell_scenarios(study);
  for (const Scenario& cell : cells) seeds += seeds_of(cell) * passes;
  const char* most = study.stop.most > 0 ? "at most " : "";
  std::fputs(fmt::format("would run {}: {}{} {} of {}{} {}, {:.0f} seeds, {:.0f} row-seconds, "
                         "about {:.0f} s on one core, 1 MB into {}\n",
                         study.name, study.sampling == Sampling::kGrid ? "" : most, cells.size(),
                         study.sampling == Sampling::kGrid ? "cells" : "samples",
                         study.sampling == Sampling::kGrid ? most : "", passes,
                         passes == 1 ? "pass" : "passes", seeds, row_time_s(study),
                         row_time_s(study) / kRowSecondsPerSecond_ratio, out.string())
                 .c_str(),
             stdout);
}

}  // namespace sim
