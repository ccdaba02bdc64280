// One row, and rows side by side, against a general integrator (bench/comparison.h): as shipped,
// with the form and step that a pass would take, and as cheap as 0.15 mm allows.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <cstdint>
#include <deque>
#include <vector>

#include "bench/comparison.h"
#include "model/row/row_lanes.h"

namespace {

using namespace bench;

FastChoice cheapest_row(const model::RowUnitParams& row, const Bands& wanted) {
  FastChoice best;
  for (const std::int64_t step_ns : {10'000, 15'000, 20'000, 30'000, 40'000, 50'000}) {
    for (const int hose_stations : {4, 6, 8}) {
      model::SolverParams solver;
      solver.step_ns = step_ns;
      solver.hose_stations = hose_stations;
      solver.tube_stations = 2 * hose_stations;
      const FastChoice choice = measured(row, wanted, solver);
      if (choice.error_m <= kAllowed_m && choice.cost_s < best.cost_s) best = choice;
    }
  }
  return best;
}

const Comparison& sides_of_the_comparison() {
  static const Comparison sides;
  return sides;
}

void one_row_against_dopri5(benchmark::State& state) {
  const Comparison& sides = sides_of_the_comparison();
  compare_alone(state, sides, cheapest_row(sides.row, sides.wanted));
}
BENCHMARK(one_row_against_dopri5)->Unit(benchmark::kMillisecond)->Iterations(6);

void one_row_as_shipped_against_dopri5(benchmark::State& state) {
  const Comparison& sides = sides_of_the_comparison();
  compare_alone(state, sides, measured(sides.row, sides.wanted, shipped(sides.row)));
}
BENCHMARK(one_row_as_shipped_against_dopri5)->Unit(benchmark::kMillisecond)->Iterations(6);

// The same with a stiff solver as the third side; few turns, because one of its trains takes a
// second.
void one_row_as_shipped_against_dopri5_and_cvode(benchmark::State& state) {
  const Comparison& sides = sides_of_the_comparison();
  const StiffChoice stiff = cheapest_stiff(sides);
  if (stiff_solver().empty()) {
    state.SkipWithError("no stiff solver: libsundials-dev was not found when cmake ran");
    return;
  }
  state.SetLabel(stiff_solver());
  compare_alone(state, sides, measured(sides.row, sides.wanted, shipped(sides.row)), stiff);
}
BENCHMARK(one_row_as_shipped_against_dopri5_and_cvode)
    ->Unit(benchmark::kMillisecond)
    ->Iterations(4);

// The same with the tube, hose and outlet of scenarios/catalog/attachments/short_rake.toml.
void a_short_row_as_shipped_against_dopri5(benchmark::State& state) {
  static const Comparison sides([] {
    model::RowUnitParams row = support::base_row();
    row.hose = {.length_m = 0.2, .bore_m = 8e-3, .wave_speed_mps = 500.0};
    row.tube = {.length_m = 0.3, .bore_m = 8e-3, .wave_speed_mps = 400.0};
    row.outlet.bore_m = 1.6e-3;
    return row;
  }());
  compare_alone(state, sides, measured(sides.row, sides.wanted, shipped(sides.row)));
}
BENCHMARK(a_short_row_as_shipped_against_dopri5)->Unit(benchmark::kMillisecond)->Iterations(6);

/// Bands of a row whose lanes hold copies of it.
Bands lane_bands(const Comparison& sides, const model::SolverParams& solver,
                 const model::LaneForm& form) {
  model::RowUnit unit(sides.row, solver, kPressure_pa);
  model::RowUnit* const rows[] = {&unit};
  model::RowLanes lanes(form, rows);
  const double step_s = step_of_s(unit);
  std::vector<support::OutletSample> outlet;
  double from_s = 0.0;
  for (const model::RowStepInput& input : train_inputs(step_s)) {
    model::RowStepOutput out[1];
    lanes.step({&input, 1}, out);
    if (out[0].jet_volume_m3 > 0.0)
      outlet.push_back({from_s + 0.5 * step_s, out[0].jet_volume_m3, out[0].jet_speed_mps});
    from_s += step_s;
  }
  return bands_of(outlet, sides.row);
}

/// argument: place in model::lane_forms()
void lanes_as_shipped_against_dopri5(benchmark::State& state) {
  const auto place = static_cast<std::size_t>(state.range(0));
  if (place >= model::lane_forms().size()) {
    state.SkipWithError("this processor has no such lanes");
    return;
  }
  const model::LaneForm& form = model::lane_forms()[place];
  state.SetLabel(form.name);
  const Comparison& sides = sides_of_the_comparison();
  static const model::SolverParams solver = shipped(sides.row);
  std::deque<model::RowUnit> units;
  std::vector<model::RowUnit*> rows;
  for (int lane = 0; lane < form.width; ++lane) {
    units.emplace_back(sides.row, solver, kPressure_pa);
    rows.push_back(&units.back());
  }
  const auto inputs = train_inputs(step_of_s(units.front()));
  model::RowLanes lanes(form, rows);
  const auto turn = [&](int trains) {
    std::vector<model::RowStepInput> in(rows.size());
    std::vector<model::RowStepOutput> out(rows.size());
    double sum_m3 = 0.0;
    const double before_s = processor_s();
    for (int train = 0; train < trains; ++train)
      for (const model::RowStepInput& input : inputs) {
        std::fill(in.begin(), in.end(), input);
        lanes.step(in, out);
        sum_m3 += out.back().jet_volume_m3;
      }
    const double spent_s = processor_s() - before_s;
    benchmark::DoNotOptimize(sum_m3);
    return spent_s;
  };
  compare(state, sides,
          {.turn = turn,
           .rows = form.width,
           .error_m = distance_m(lane_bands(sides, solver, form), sides.wanted)});
}
BENCHMARK(lanes_as_shipped_against_dopri5)
    ->DenseRange(0, 5)
    ->Unit(benchmark::kMillisecond)
    ->Iterations(6);

}  // namespace
