// A whole pass with its controllers against its rows' physics alone, side by side, and what a page
// that answers at once would ask for: one row over one second, from nothing.
#include <benchmark/benchmark.h>
#include <tbb/global_control.h>
#include <time.h>

#include <algorithm>
#include <string>
#include <vector>

#include "sim/bench/line_form.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_fixed.h"
#include "sim/bench/row_team.h"
#include "sim/scenario/loader.h"
#include "sim/study/tune/tune.h"
#include "tests/support/drive_row.h"

namespace {

using sim::scenario::Scenario;

double processor_s() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

Scenario demo_row(const char* step) {
  return sim::bench::with_line_form(
      sim::scenario::load_scenario(SILLION_SOURCE_DIR "/scenarios/demo.toml",
                                   {"row.count=1", "seeds=300", "controller.row_trim=false",
                                    "solver.step=\"" + std::string(step) + "\""}));
}

/// One row for so long, at the demo's seed rate and band.
double bare_row_s(const Scenario& scenario, double duration_s, double& sum_m3) {
  // The row that the pass draws: a tube of another length may take another step.
  model::RowUnit unit(sim::bench::drawn_row(scenario, 0).liquid_path, scenario.solver, 1.64e5);
  const double step_s = static_cast<double>(unit.fit().step_ns) * 1e-9;
  const double period_s = scenario.seeding.meter.spacing_m / scenario.travel.speed_mps;
  const double on_s = scenario.rate.band_length_m / scenario.travel.speed_mps;
  const std::vector<support::OnOff> pulse = {{0.0, on_s}};
  std::vector<model::RowStepInput> inputs;
  for (double from_s = 0.0; from_s < period_s - 0.5 * step_s; from_s += step_s)
    inputs.push_back(support::bridge_of(pulse, from_s, step_s, 1.64e5, 12.6));
  const double before_s = processor_s();
  for (double at_s = 0.0; at_s < duration_s; at_s += period_s)
    for (const auto& input : inputs) sum_m3 += unit.step(input).jet_volume_m3;
  return processor_s() - before_s;
}

/// argument 0: step, 0 automatic, else in us
void pass_over_bare_row(benchmark::State& state) {
  const tbb::global_control one(tbb::global_control::max_allowed_parallelism, 1);
  const std::string step = state.range(0) == 0 ? "auto" : std::to_string(state.range(0)) + " us";
  const Scenario scenario = demo_row(step.c_str());
  const sim::tune::TunedTable tuned = sim::tune::tune(scenario);
  double pass_s = 0.0, bare_s = 0.0, row_s = 0.0, sum_m3 = 0.0;
  for (auto _ : state) {
    const double before_s = processor_s();
    const auto record = sim::bench::run_pass(scenario, tuned.table, {});
    pass_s += processor_s() - before_s;
    row_s += record.simulated_s;
    bare_s += bare_row_s(scenario, record.simulated_s, sum_m3);
  }
  benchmark::DoNotOptimize(sum_m3);
  state.counters["row_s_per_s"] = row_s / pass_s;
  state.counters["pass_over_bare_row"] = pass_s / bare_s;
}
BENCHMARK(pass_over_bare_row)->Arg(0)->Arg(10)->Unit(benchmark::kMillisecond)->Iterations(6);

/// argument: rows side by side; a machine of 16 rows on one thread
void machine_side_by_side(benchmark::State& state) {
  const tbb::global_control one(tbb::global_control::max_allowed_parallelism, 1);
  const auto lanes = static_cast<int>(state.range(0));
  const std::vector<int> widths = sim::bench::widths_side_by_side(false);
  if (std::find(widths.begin(), widths.end(), lanes) == widths.end()) {
    state.SkipWithError("this processor has no such lanes");
    return;
  }
  const Scenario scenario = sim::bench::with_line_form(
      sim::scenario::load_scenario(SILLION_SOURCE_DIR "/scenarios/demo.toml",
                                   {"row.count=16", "seeds=100", "controller.row_trim=false"}));
  const sim::tune::TunedTable tuned = sim::tune::tune(scenario);
  double pass_s = 0.0, row_s = 0.0;
  for (auto _ : state) {
    sim::bench::set_rows_side_by_side(lanes);
    const double before_s = processor_s();
    row_s += sim::bench::run_pass(scenario, tuned.table, {}).simulated_s;
    pass_s += processor_s() - before_s;
  }
  sim::bench::set_rows_side_by_side(0);
  state.counters["row_s_per_s"] = row_s / pass_s;
}
BENCHMARK(machine_side_by_side)
    ->RangeMultiplier(2)
    ->Range(1, 8)
    ->Unit(benchmark::kMillisecond)
    ->Iterations(5);

void one_row_over_one_second(benchmark::State& state) {
  const Scenario scenario = demo_row("auto");
  double sum_m3 = 0.0;
  for (auto _ : state) bare_row_s(scenario, 1.0, sum_m3);
  benchmark::DoNotOptimize(sum_m3);
}
BENCHMARK(one_row_over_one_second)->Unit(benchmark::kMillisecond);

}  // namespace
