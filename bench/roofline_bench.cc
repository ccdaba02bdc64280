// How fast one step of 8 rows in lanes of double could be on this processor, beside how fast it is.
//
//   per station    11 + 3 T loads, 8 + T stores, 25 + 4 T operations (T memory terms), counted in
//                  pass_register of model/fluid/line_wide_body.h; a minimum or maximum is one
//   per segment    4 loads and 4 operations of lowest_meeting_pa
//   valve, ends    90 values and 120 operations, counted from model/valve and
//                  model/fluid/orifice.h, to about a fifth
//   chain          lift -> seat (square root, division) -> node -> force -> plunger: 30 additions
//                  and multiplications that wait for each other, besides root and division
//   a value is 64 bytes: one double of each of 8 rows
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cstdio>
#include <deque>
#include <vector>

#include "bench/comparison.h"
#include "bench/machine_peaks.h"
#include "model/row/row_lanes.h"

namespace {

using namespace bench;

constexpr double kValue_bytes = 64.0;  // tidy: unit B
constexpr double kLanes = 8.0;         // tidy: unit 1
constexpr double kChained = 30.0;      // tidy: unit 1

const model::LaneForm* eight_doubles() {
  for (const model::LaneForm& form : model::lane_forms())
    if (form.width == 8 && !form.single) return &form;
  return nullptr;
}

struct Work {
  double load_values = 0.0, store_values = 0.0, operations = 0.0;  // tidy: unit 1
  double kept_values = 0.0;                                        // tidy: unit 1
};

Work work_of(const model::SolverParams& solver, const model::RowFit& fit) {
  const double terms = solver.kernel_terms;
  const double stations = solver.hose_stations + solver.tube_stations;
  const double segments = stations + 2.0;
  return {.load_values = stations * (11.0 + 3.0 * terms) + segments * 4.0 + 60.0,
          .store_values = stations * (8.0 + terms) + 30.0,
          .operations = stations * (25.0 + 4.0 * terms) + segments * 4.0 + 120.0,
          // Waves of both directions in each cell, and what a station reads and writes.
          .kept_values = 2.0 * (fit.hose.in_cells() + fit.tube.in_cells()) +
                         stations * (12.0 + terms) + 4.0 * terms + 90.0};
}

/// Processor ns of one step of 8 rows: the best of the trains.
double measured_ns(const model::LaneForm& form, const model::SolverParams& solver) {
  std::deque<model::RowUnit> units;
  std::vector<model::RowUnit*> rows;
  for (int lane = 0; lane < form.width; ++lane) {
    units.emplace_back(support::base_row(), solver, kPressure_pa);
    rows.push_back(&units.back());
  }
  const auto inputs = train_inputs(step_of_s(units.front()));
  std::vector<model::RowStepInput> in(rows.size());
  std::vector<model::RowStepOutput> out(rows.size());
  model::RowLanes lanes(form, rows);
  double best_s = 1e300;
  for (int train = 0; train < 30; ++train) {
    const double before_s = processor_s();
    for (const auto& input : inputs) {
      std::fill(in.begin(), in.end(), input);
      lanes.step(in, out);
    }
    best_s = std::min(best_s, processor_s() - before_s);
  }
  benchmark::DoNotOptimize(out.data());
  return 1e9 * best_s / static_cast<double>(inputs.size());
}

void print(const Work& work, const MachinePeaks& peaks) {
  std::printf("  first level %.0f B/ns loaded, %.0f stored; second level %.0f and %.0f\n",
              peaks.first_load, peaks.first_store, peaks.second_load, peaks.second_store);
  std::printf("  operations per ns: %.0f fused, %.0f separate (as the model computes)\n",
              peaks.fused_flops, peaks.separate_flops);
  std::printf("  square root and division in a chain %.1f ns, addition in a chain %.2f ns\n",
              peaks.root_and_division_ns, peaks.addition_ns);
  std::printf("  a step of 8 rows: %.0f B loaded, %.0f B stored, %.0f operations, %.0f KiB kept\n",
              work.load_values * kValue_bytes, work.store_values * kValue_bytes,
              work.operations * kLanes, work.kept_values * kValue_bytes / 1024.0);
}

void roofline_of_8_rows(benchmark::State& state) {
  const model::LaneForm* const form = eight_doubles();
  MachinePeaks peaks;
  if (form == nullptr || !measure_peaks(peaks)) {
    state.SkipWithError("this processor has no registers of 8 doubles");
    return;
  }
  const model::SolverParams solver = shipped(support::base_row());
  const Work work = work_of(solver, model::RowUnit(support::base_row(), solver, 3e5).fit());
  print(work, peaks);
  double step_ns = 1e300;
  for (auto _ : state) step_ns = std::min(step_ns, measured_ns(*form, solver));
  const auto memory_ns = [&](double load, double store) {  // tidy: unit B/ns
    return std::max(work.load_values * kValue_bytes / load,
                    work.store_values * kValue_bytes / store);
  };
  const double first_ns = memory_ns(peaks.first_load, peaks.first_store);
  const double second_ns = memory_ns(peaks.second_load, peaks.second_store);
  const double flops_ns = work.operations * kLanes / peaks.separate_flops;
  const double chain_ns = peaks.root_and_division_ns + kChained * peaks.addition_ns;
  state.counters["first_level"] = first_ns / kLanes;
  state.counters["second_level"] = second_ns / kLanes;
  state.counters["operations"] = flops_ns / kLanes;
  state.counters["chain"] = chain_ns / kLanes;
  state.counters["roof"] = std::max({first_ns, flops_ns, chain_ns}) / kLanes;
  state.counters["roof_no_overlap"] = (std::max(first_ns, flops_ns) + chain_ns) / kLanes;
  state.counters["measured"] = step_ns / kLanes;
  state.SetLabel("ns per row-step");
}
BENCHMARK(roofline_of_8_rows)->Iterations(3)->Unit(benchmark::kMillisecond);

}  // namespace
