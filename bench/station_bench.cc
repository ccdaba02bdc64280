// The stations of one line in registers of every width that this processor has, and one row's step
// with either force law of the solenoid.
#include <benchmark/benchmark.h>

#include <vector>

#include "model/fluid/line.h"
#include "model/row/row_unit.h"
#include "tests/support/drive_row.h"

namespace {

constexpr double kStep_s = 1e-5;

/// argument 0: place in line_kernels(); argument 1: stations
void pass_stations(benchmark::State& state) {
  const auto place = static_cast<std::size_t>(state.range(0));
  if (place >= model::line_kernels().size()) {
    state.SkipWithError("this processor has no registers of that width");
    return;
  }
  const model::LineKernels& kernels = model::line_kernels()[place];
  const model::Line tube = {.length_m = 0.8, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  const model::Liquid thick = {.density_kgpm3 = 1200.0, .viscosity_pas = 10e-3};
  const auto kernel = model::fit_kernel(5, 8.3e-6 * kStep_s / 4e-6);
  model::LinePlan<double> plan =
      model::make_line_plan(tube, thick,
                            {.cells = 200,
                             .stations = static_cast<int>(state.range(1)),
                             .step_s = kStep_s,
                             .kernel = kernel,
                             .cavities = true,
                             .vapour_pressure_pa = -99000.0});
  plan.kernels = &kernels;
  model::LineState<double> line = model::steady_line(plan, 1e5, 1e-5);
  for (auto _ : state) {
    const auto in = model::arrivals(plan, line);
    model::depart(plan, line, {.at_inlet_pa = 2e5 - in.at_inlet_pa, .at_outlet_pa = 1e5});
    benchmark::DoNotOptimize(line.flow_m3ps.data());
  }
  state.SetLabel(kernels.name);
  state.counters["per_station"] = benchmark::Counter(
      static_cast<double>(state.iterations()) * static_cast<double>(plan.stations),
      benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}
BENCHMARK(pass_stations)->ArgsProduct({{0, 1, 2}, {6, 12, 24, 48}});

/// argument 0: 0 linear law, 1 reluctance
void row_step(benchmark::State& state) {
  model::RowUnitParams row = support::base_row();
  if (state.range(0) == 1) {
    row.valve.coil.force_law = model::ForceLaw::kReluctance;
    row.valve.coil.inductance_h = 7e-3;
    row.valve.coil.reluctance = {.gap_m = 1.1e-3,
                                 .leakage_h = 0.6e-3,
                                 .saturation_vs = 18e-3,
                                 .half_current_a = 0.15,
                                 .eddy_ohm = 40.0};
  }
  model::RowUnit unit(row, {}, 3e5);
  const std::vector<support::OnOff> train = {{1e-3, 17.9e-3}};
  std::vector<model::RowStepInput> inputs;
  for (double from_s = 0.0; from_s < 1.0 / 30.0; from_s += kStep_s)
    inputs.push_back(support::bridge_of(train, from_s, kStep_s, 3e5, 12.0));
  double sum_m3 = 0.0;
  for (auto _ : state)
    for (const auto& input : inputs) sum_m3 += unit.step(input).jet_volume_m3;
  benchmark::DoNotOptimize(sum_m3);
  state.counters["per_step"] = benchmark::Counter(
      static_cast<double>(state.iterations()) * static_cast<double>(inputs.size()),
      benchmark::Counter::kIsRate | benchmark::Counter::kInvert);
}
BENCHMARK(row_step)->Arg(0)->Arg(1)->Unit(benchmark::kMillisecond);

}  // namespace
