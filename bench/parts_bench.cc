// Parts of one row's step in double: seat, node between both lines, plunger, the scan of a line's
// nodes for vapour; and the step of rows in every form of lanes.
#include <benchmark/benchmark.h>

#include <algorithm>
#include <array>
#include <deque>
#include <vector>

#include "bench/comparison.h"
#include "model/fluid/line.h"
#include "model/fluid/line_cavities.h"
#include "model/fluid/orifice.h"
#include "model/row/row_lanes.h"
#include "model/valve/plunger.h"

namespace {

using namespace bench;

benchmark::Counter time_each(const benchmark::State& state, double many) {
  return {static_cast<double>(state.iterations()) * many,
          benchmark::Counter::kIsRate | benchmark::Counter::kInvert};
}

constexpr std::size_t kCalls = 64;

/// Calls that do not wait for each other.
void seat_alone(benchmark::State& state) {
  const model::RowUnitParams row = support::base_row();
  const auto seat = model::make_seat_plan(row.valve.seat, row.liquid);
  std::array<double, kCalls> lift_m, drop_pa;
  for (std::size_t i = 0; i < kCalls; ++i) {
    lift_m[i] = row.valve.plunger.travel_m * static_cast<double>(i) / kCalls;
    drop_pa[i] = 1e4 * static_cast<double>(i);
  }
  for (auto _ : state) {
    double sum_m3ps = 0.0;
    benchmark::DoNotOptimize(lift_m.data());
    for (std::size_t i = 0; i < kCalls; ++i)
      sum_m3ps += model::seat_flow_m3ps(seat, lift_m[i], drop_pa[i], 4e10);
    benchmark::DoNotOptimize(sum_m3ps);
  }
  state.counters["per_call"] = time_each(state, kCalls);
}
BENCHMARK(seat_alone)->MinTime(0.2);

/// Each call takes the lift from the one before, as a step of the row does.
void seat_in_a_chain(benchmark::State& state) {
  const model::RowUnitParams row = support::base_row();
  const auto seat = model::make_seat_plan(row.valve.seat, row.liquid);
  double lift_m = 3e-4;
  for (auto _ : state) {
    for (std::size_t i = 0; i < kCalls; ++i)
      lift_m = 3e-4 + model::seat_flow_m3ps(seat, lift_m, 1e5, 4e10);
    benchmark::DoNotOptimize(lift_m);
  }
  state.counters["per_call"] = time_each(state, kCalls);
}
BENCHMARK(seat_in_a_chain)->MinTime(0.2);

/// A plunger that is thrown from wall to wall; argument: force in N.
void plunger(benchmark::State& state) {
  const model::Plunger params = support::base_row().valve.plunger;
  const auto plan = model::make_plunger_plan(params, 1e-5);
  const auto size_n = static_cast<double>(state.range(0));
  model::PlungerState<double> at;
  for (auto _ : state) {
    for (std::size_t i = 0; i < kCalls; ++i) {
      const auto middle = model::plunger_middle(plan, at);
      at = model::move_plunger(plan, at, i < kCalls / 2 ? size_n : -size_n, middle).after;
    }
    benchmark::DoNotOptimize(at.lift_m);
  }
  state.counters["per_step"] = time_each(state, kCalls);
}
BENCHMARK(plunger)->Arg(0)->Arg(10)->MinTime(0.2);

/// All nodes of a line between its stations, of which all boil; argument: stations.
void scan_of_nodes(benchmark::State& state) {
  const model::RowUnitParams row = support::base_row();
  const auto kernel = model::fit_kernel(5, 2e-5);
  const auto plan = model::make_line_plan(row.tube, row.liquid,
                                          {.cells = 225,
                                           .stations = static_cast<int>(state.range(0)),
                                           .step_s = 1e-5,
                                           .kernel = kernel,
                                           .cavities = true,
                                           .vapour_pressure_pa = 2e5});
  model::LineState<double> line = model::steady_line(plan, 1e5, 0.0);
  for (std::size_t i = 0; i < line.f_lowest_pa.size(); ++i)
    line.f_lowest_pa[i] = line.g_lowest_pa[i] = 0.0;
  for (auto _ : state) {
    model::scan_line(plan, line);
    benchmark::DoNotOptimize(line.between_m3.data());
  }
  state.counters["per_node"] = time_each(state, plan.cells);
}
BENCHMARK(scan_of_nodes)->Arg(6)->Arg(12)->Arg(24)->MinTime(0.2);

/// argument: -1 a row alone, else the place in model::lane_forms(); form and step as shipped
void step_by_lanes(benchmark::State& state) {
  const auto place = static_cast<std::size_t>(state.range(0));
  const bool alone = state.range(0) < 0;
  if (!alone && place >= model::lane_forms().size()) {
    state.SkipWithError("this processor has no such lanes");
    return;
  }
  static const model::SolverParams solver = shipped(support::base_row());
  const std::size_t many = alone ? 1 : static_cast<std::size_t>(model::lane_forms()[place].width);
  std::deque<model::RowUnit> units;
  std::vector<model::RowUnit*> rows;
  for (std::size_t lane = 0; lane < many; ++lane) {
    units.emplace_back(support::base_row(), solver, kPressure_pa);
    rows.push_back(&units.back());
  }
  const auto inputs = train_inputs(step_of_s(units.front()));
  std::vector<model::RowStepInput> in(many);
  std::vector<model::RowStepOutput> out(many);
  state.SetLabel(alone ? "1 row, double" : model::lane_forms()[place].name);
  if (alone) {
    for (auto _ : state)
      for (const auto& input : inputs) out[0] = units[0].step(input);
  } else {
    model::RowLanes lanes(model::lane_forms()[place], rows);
    for (auto _ : state)
      for (const auto& input : inputs) {
        std::fill(in.begin(), in.end(), input);
        lanes.step(in, out);
      }
  }
  benchmark::DoNotOptimize(out.data());
  state.counters["per_row_step"] = time_each(state, static_cast<double>(inputs.size() * many));
}
BENCHMARK(step_by_lanes)->DenseRange(-1, 5)->MinTime(0.2);

}  // namespace
