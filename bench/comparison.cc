#include "bench/comparison.h"

#include <time.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <stdexcept>
#include <utility>

#include "sim/bench/line_form.h"

namespace bench {

double processor_s() {
  timespec now{};
  clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
  return static_cast<double>(now.tv_sec) + 1e-9 * static_cast<double>(now.tv_nsec);
}

// A pulse owns what leaves from 0.9 L/a after its on command until 0.9 L/a after the next one.
Bands bands_of(const std::vector<support::OutletSample>& outlet, const model::RowUnitParams& row) {
  const double delay_s = 0.9 * row.tube.length_m / row.tube.wave_speed_mps;
  Bands bands;
  for (std::size_t i = 0; i < kTrain.size(); ++i) {
    const double to_s = i + 1 < kTrain.size() ? kTrain[i + 1].on_s + delay_s : kEnd_s;
    bands[i] = support::band_of(outlet, row, kTrain[i].on_s + delay_s, to_s, kSpeed_mps, {});
  }
  return bands;
}

double distance_m(const Bands& a, const Bands& b) {
  double worst_m = 0.0;
  for (std::size_t i = 0; i < a.size(); ++i)
    worst_m = std::max(worst_m, support::band_distance_m(a[i], b[i]));
  return worst_m;
}

Bands row_bands(const model::RowUnitParams& row, const model::SolverParams& solver) {
  return bands_of(support::drive_row(row, solver, kPressure_pa, kVoltage_v, kTrain, kEnd_s), row);
}

namespace {

// The cheapest integrator that keeps 0.15 mm; work stays infinite where none keeps it.
Choice cheapest_integrator(const model::RowUnitParams& row, const Bands& wanted,
                           std::span<const model::KernelTerm> few_terms) {
  Choice best;
  for (const double tolerance : {1e-2, 3e-3, 1e-3, 3e-4, 1e-4}) {
    for (const bool few : {true, false}) {
      support::LinesSetup setup{.tolerance_ratio = tolerance};
      if (few) setup.kernel = few_terms;
      const auto run =
          support::run_method_of_lines(row, kPressure_pa, kVoltage_v, kTrain, kEnd_s, setup);
      const double error_m = distance_m(bands_of(run.outlet, row), wanted);
      const double terms = few ? static_cast<double>(few_terms.size()) : 10.0;
      const double work = static_cast<double>(run.evaluations) * (2.0 + terms);
      std::printf(
          "  dopri5 tolerance %.0e, %2.0f memory terms: %lld evaluations, off by %.3f mm%s\n",
          tolerance, terms, static_cast<long long>(run.evaluations), error_m * 1e3,
          error_m <= kAllowed_m ? "" : " (too far)");
      if (error_m <= kAllowed_m && work < best.work) best = {setup, error_m, work};
    }
  }
  return best;
}

/// One setting of the stiff solver; one that fails keeps an infinite cost.
StiffChoice tried(const model::RowUnitParams& row, const Bands& wanted, const StiffSetup& setup) {
  StiffChoice choice{.setup = setup};
  std::printf("  CVODE order %d, tolerance %.0e, ", setup.highest_order,
              setup.lines.tolerance_ratio);
  std::fflush(stdout);
  try {
    const double before_s = processor_s();
    const StiffRun stiff = run_stiff(row, kPressure_pa, kVoltage_v, kTrain, kEnd_s, setup);
    const double cost_s = processor_s() - before_s;
    choice.error_m = distance_m(bands_of(stiff.run.outlet, row), wanted);
    const bool keeps = choice.error_m <= kAllowed_m;
    if (keeps) choice.cost_s = cost_s;
    std::printf(
        "%d states, half-width %d: %lld steps, %lld evaluations, %.0f ms, off by %.3f mm%s\n",
        stiff.states, stiff.half_width, static_cast<long long>(stiff.run.steps),
        static_cast<long long>(stiff.run.evaluations), cost_s * 1e3, choice.error_m * 1e3,
        keeps ? "" : " (too far)");
  } catch (const std::runtime_error& gave_up) {
    std::printf("%s\n", gave_up.what());
  }
  return choice;
}

}  // namespace

std::vector<model::RowStepInput> train_inputs(double step_s) {
  std::vector<model::RowStepInput> inputs;
  for (double from_s = 0.0; from_s < kEnd_s - 0.5 * step_s; from_s += step_s)
    inputs.push_back(support::bridge_of(kTrain, from_s, step_s, kPressure_pa, kVoltage_v));
  return inputs;
}

double step_of_s(const model::RowUnit& unit) {
  return static_cast<double>(unit.fit().step_ns) * 1e-9;
}

Comparison::Comparison(model::RowUnitParams given) : row(std::move(given)) {
  model::SolverParams dense;
  dense.form = model::LineForm::kDense;
  wanted = row_bands(row, dense);
  const double radius_m = 0.5 * row.tube.bore_m;
  const double dtau_ratio =
      row.liquid.viscosity_pas / row.liquid.density_kgpm3 * 10e-6 / (radius_m * radius_m);
  few_terms = model::fit_kernel(model::SolverParams{}.kernel_terms, dtau_ratio);
  general = cheapest_integrator(row, wanted, few_terms);
}

// A rebound slower than 5 mm/s is lower than 10 nm: it would take some steps of first order.
StiffChoice cheapest_stiff(const Comparison& sides) {
  StiffChoice best;
  if (stiff_solver().empty()) {
    std::printf("  no stiff solver: libsundials-dev was not found when cmake ran\n");
    return best;
  }
  std::printf("  %s\n", stiff_solver().c_str());
  for (const double tolerance : {3e-2, 1e-2, 3e-3, 1e-3}) {
    for (const int order : {2, 5}) {
      const StiffSetup setup{.lines = {.tolerance_ratio = tolerance,
                                       .kernel = sides.few_terms,
                                       .rest_speed_mps = 5e-3},
                             .highest_order = order};
      const StiffChoice choice = tried(sides.row, sides.wanted, setup);
      if (choice.cost_s < best.cost_s) best = choice;
    }
  }
  return best;
}

namespace {

/// Trains on one row, as a pass runs it.
Turn turn_of(model::RowUnit& unit, const std::vector<model::RowStepInput>& inputs) {
  return [&unit, &inputs](int trains) {
    double sum_m3 = 0.0;
    const double before_s = processor_s();
    for (int train = 0; train < trains; ++train)
      for (const auto& input : inputs) sum_m3 += unit.step(input).jet_volume_m3;
    const double spent_s = processor_s() - before_s;
    benchmark::DoNotOptimize(sum_m3);
    return spent_s;
  };
}

}  // namespace

FastChoice measured(const model::RowUnitParams& row, const Bands& wanted,
                    const model::SolverParams& solver) {
  FastChoice choice{.solver = solver, .error_m = distance_m(row_bands(row, solver), wanted)};
  model::RowUnit unit(row, solver, kPressure_pa);
  const auto inputs = train_inputs(step_of_s(unit));
  const Turn turn = turn_of(unit, inputs);
  for (int k = 0; k < 5; ++k) choice.cost_s = std::min(choice.cost_s, turn(1));
  std::printf("  row at most %lld ns, %d + %d stations: off by %.3f mm%s\n",
              static_cast<long long>(solver.step_ns), solver.hose_stations, solver.tube_stations,
              choice.error_m * 1e3, choice.error_m <= kAllowed_m ? "" : " (too far)");
  return choice;
}

model::SolverParams shipped(const model::RowUnitParams& row) {
  const sim::bench::PulseTrain train{.pressure_pa = kPressure_pa,
                                     .voltage_v = kVoltage_v,
                                     .ground_speed_mps = kSpeed_mps,
                                     .on_time_s = kTrain[0].off_s - kTrain[0].on_s,
                                     .period_s = kPeriod_s,
                                     .scatter_ratio = 0.12,
                                     .pulses = 8};
  return sim::bench::judge_line_form(row, {}, train, true).solver;
}

namespace {

double general_turn_s(const Comparison& sides) {
  const double before_s = processor_s();
  const auto run = support::run_method_of_lines(sides.row, kPressure_pa, kVoltage_v, kTrain, kEnd_s,
                                                sides.general.setup);
  const double spent_s = processor_s() - before_s;
  benchmark::DoNotOptimize(run.jet_volume_m3);
  return spent_s;
}

double stiff_turn_s(const Comparison& sides, const StiffChoice& stiff_choice) {
  const double before_s = processor_s();
  const StiffRun stiff =
      run_stiff(sides.row, kPressure_pa, kVoltage_v, kTrain, kEnd_s, stiff_choice.setup);
  const double spent_s = processor_s() - before_s;
  benchmark::DoNotOptimize(stiff.run.jet_volume_m3);
  return spent_s;
}

}  // namespace

void compare(benchmark::State& state, const Comparison& sides, const FastSide& fast,
             const StiffChoice& stiff) {
  if (!(sides.general.work < std::numeric_limits<double>::infinity()) ||
      fast.error_m > kAllowed_m) {
    state.SkipWithError("a side misses 0.15 mm against the dense form: no fair comparison");
    return;
  }
  constexpr int kTrainsATurn = 30;
  const bool has_stiff = std::isfinite(stiff.cost_s);
  double fast_s = 0.0, general_s = 0.0, stiff_s = 0.0, turns = 0.0;
  for (auto _ : state) {
    fast_s += fast.turn(kTrainsATurn);
    general_s += general_turn_s(sides);
    if (has_stiff) stiff_s += stiff_turn_s(sides, stiff);
    fast_s += fast.turn(kTrainsATurn);
    turns += 1.0;
  }
  const double fast_rate = turns * 2.0 * kTrainsATurn * fast.rows * kEnd_s / fast_s;
  const double general_rate = turns * kEnd_s / general_s;
  state.counters["row_s_per_s"] = fast_rate;
  state.counters["fast_off_mm"] = fast.error_m * 1e3;
  state.counters["dopri5_s_per_s"] = general_rate;
  state.counters["ratio_to_dopri5"] = fast_rate / general_rate;
  state.counters["dopri5_off_mm"] = sides.general.error_m * 1e3;
  state.counters["dopri5_tolerance"] = sides.general.setup.tolerance_ratio;
  if (!has_stiff) return;
  const double stiff_rate = turns * kEnd_s / stiff_s;
  state.counters["cvode_s_per_s"] = stiff_rate;
  state.counters["ratio_to_cvode"] = fast_rate / stiff_rate;
  state.counters["cvode_off_mm"] = stiff.error_m * 1e3;
  state.counters["cvode_tolerance"] = stiff.setup.lines.tolerance_ratio;
}

void compare_alone(benchmark::State& state, const Comparison& sides, const FastChoice& fast,
                   const StiffChoice& stiff) {
  model::RowUnit unit(sides.row, fast.solver, kPressure_pa);
  const auto inputs = train_inputs(step_of_s(unit));
  compare(state, sides, {.turn = turn_of(unit, inputs), .rows = 1, .error_m = fast.error_m}, stiff);
  state.counters["step_ns"] = step_of_s(unit) * 1e9;
}

}  // namespace bench
