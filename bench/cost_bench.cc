// What a pass and a sweep cost by rows, seeds and threads, in wall time, and what one call of the
// reference controller costs.
#include <benchmark/benchmark.h>
#include <tbb/global_control.h>

#include <cstdint>
#include <string>
#include <vector>

#include "sim/bench/controller_library.h"
#include "sim/bench/line_form.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_config.h"
#include "sim/scenario/loader.h"
#include "sim/study/sweep/sweep.h"
#include "sim/study/tune/tune.h"

namespace {

using sim::scenario::Scenario;

Scenario demo(std::int64_t rows, std::int64_t seeds) {
  return sim::bench::with_line_form(sim::scenario::load_scenario(
      SILLION_SOURCE_DIR "/scenarios/demo.toml",
      {"row.count=" + std::to_string(rows), "seeds=" + std::to_string(seeds),
       "controller.row_trim=false"}));
}

/// arguments: rows, seeds per row, threads
void pass_cost(benchmark::State& state) {
  const tbb::global_control limit(tbb::global_control::max_allowed_parallelism,
                                  static_cast<std::size_t>(state.range(2)));
  const Scenario scenario = demo(state.range(0), state.range(1));
  const sim::tune::TunedTable tuned = sim::tune::tune(scenario);
  double row_s = 0.0;
  for (auto _ : state) row_s += sim::bench::run_pass(scenario, tuned.table, {}).simulated_s;
  state.counters["row_s_per_s"] = benchmark::Counter(row_s, benchmark::Counter::kIsRate);
}
BENCHMARK(pass_cost)
    ->ArgNames({"rows", "seeds", "threads"})
    ->ArgsProduct({{1, 4, 16}, {50, 200}, {1, 2}})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->MeasureProcessCPUTime()
    ->Iterations(2);

/// argument: threads; four cells of one row, with their tables at hand
void sweep_cost(benchmark::State& state) {
  const tbb::global_control limit(tbb::global_control::max_allowed_parallelism,
                                  static_cast<std::size_t>(state.range(0)));
  sim::sweep::Study study = sim::sweep::load_study(
      SILLION_SOURCE_DIR "/scenarios/demo_sweep.toml",
      {"seeds=50", "row.count=1", "axes.travel.speed=[\"8 km/h\", \"16 km/h\"]",
       "axes.seeding.spacing=[\"0.15 m\", \"0.20 m\"]", "shown=[\"16 km/h\", \"0.15 m\"]"});
  sim::sweep::run_sweep(study);  // its tables, which a process tunes once
  for (auto _ : state) benchmark::DoNotOptimize(sim::sweep::run_sweep(study).cells.data());
}
BENCHMARK(sweep_cost)
    ->ArgName("threads")
    ->Arg(1)
    ->Arg(2)
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime()
    ->MeasureProcessCPUTime()
    ->Iterations(1);

/// argument: 0 the periodic call, 1 a seed's two edges
void controller_call(benchmark::State& state) {
  const Scenario scenario = demo(1, 50);
  const sillion_config config =
      sim::bench::row_config(scenario, 0, sim::tune::tune(scenario).table, 0);
  const sim::bench::ControllerLibrary library = sim::bench::reference_controller();
  const sillion_hardware& hardware = *library.describe(SILLION_ROLE_ROW);
  std::vector<std::uint64_t> memory(hardware.memory_bytes / 8 + 1);
  sillion_controller* const row =
      library.init(memory.data(), memory.size() * 8, &config, nullptr, 0, nullptr, 0);
  sillion_input in{};
  in.now_ticks = config.start_ticks;
  for (auto _ : state) {
    sillion_output out{};
    in.now_ticks += hardware.period_ticks;
    in.why = SILLION_WHY_TICK;
    if (state.range(0) == 1) {
      in.why = SILLION_WHY_EDGE;
      in.edge_count = 2;
      in.edges[0] = {in.now_ticks - 3000, 0, 1, 0};
      in.edges[1] = {in.now_ticks, 0, 0, 0};
    }
    library.step(row, &in, &out);
    benchmark::DoNotOptimize(out);
  }
}
BENCHMARK(controller_call)->Arg(0)->Arg(1)->MinTime(0.2);

}  // namespace
