#include "tests/support/bench_trace.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "shared/units.h"

namespace support {
namespace {

// SplitMix64: G. Steele, D. Lea, C. Flood, OOPSLA 2014 (constants from memory).
std::uint64_t mixed(std::uint64_t z) {
  z = (z ^ (z >> 30U)) * 0xbf58476d1ce4e5b9ULL;
  z = (z ^ (z >> 27U)) * 0x94d049bb133111ebULL;
  return z ^ (z >> 31U);
}

double rounded(double value_si, double range_si, int bits) {
  if (bits <= 0) return value_si;
  const double quantum_si = range_si / std::ldexp(1.0, bits - 1);
  return std::clamp(std::round(value_si / quantum_si) * quantum_si, -range_si, range_si);
}

LinesSetup lines_of(const BenchOptions& options) {
  return {.hose_cells = options.cells,
          .tube_cells = options.cells,
          .tolerance_ratio = options.tolerance_ratio,
          .slow_decay = options.slow_decay,
          .force_lag_s = options.eddy_lag_s,
          .sample_every_s = 1.0 / options.rate_hz};
}

PulseTruth truth_of(const OnOff& pulse, double next_on_s, std::span<const LinesEvent> events) {
  constexpr double kNever_s = std::numeric_limits<double>::quiet_NaN();
  PulseTruth truth{pulse.on_s, pulse.off_s, kNever_s, kNever_s, kNever_s, kNever_s};
  const auto first = [](double& at_s, double time_s) {
    if (!(at_s == at_s)) at_s = time_s;
  };
  for (const LinesEvent& event : events) {
    if (event.time_s < pulse.on_s || event.time_s >= next_on_s) continue;
    if (event.kind == PlungerEvent::kLeftSeat && event.time_s < pulse.off_s)
      first(truth.first_motion_s, event.time_s);
    if (event.kind == PlungerEvent::kHitStop) first(truth.at_stop_s, event.time_s);
    if (event.time_s < pulse.off_s) continue;
    if (event.kind == PlungerEvent::kLeftStop) first(truth.left_stop_s, event.time_s);
    if (event.kind == PlungerEvent::kHitSeat) first(truth.seated_s, event.time_s);
  }
  return truth;
}

}  // namespace

double uniform_draw_ratio(std::uint64_t stream, std::uint64_t index) {
  const std::uint64_t bits = mixed(mixed(stream) + (index + 1) * 0x9e3779b97f4a7c15ULL);
  return static_cast<double>(bits >> 11U) * 0x1p-53;
}

double normal_draw_ratio(std::uint64_t stream, std::uint64_t index) {
  const double one_ratio = 1.0 - uniform_draw_ratio(stream, 2 * index);
  const double other_ratio = uniform_draw_ratio(stream, 2 * index + 1);
  return std::sqrt(-2.0 * std::log(one_ratio)) * std::cos(2.0 * shared::kPi_ratio * other_ratio);
}

std::vector<OnOff> even_pulses(double first_on_s, double on_time_s, double period_s, int pulses) {
  std::vector<OnOff> train;
  for (int k = 0; k < pulses; ++k)
    train.push_back({first_on_s + k * period_s, first_on_s + k * period_s + on_time_s});
  return train;
}

namespace {
/// Columns out of the unspoilt run.
void spoil(const model::RowUnitParams& row, std::span<const OnOff> pulses,
           const BenchOptions& options, BenchTrace& bench) {
  // One stream of draws per column, so that another column does not shift the others.
  const auto noise = [&](std::uint64_t column, std::size_t sample) {
    return normal_draw_ratio(options.draws * 16 + column, sample);
  };
  sim::valve::ValveTrace& trace = bench.trace;
  std::size_t pulse = 0;
  for (std::size_t k = 0; k < bench.run.trace.size(); ++k) {
    const LinesTrace& at = bench.run.trace[k];
    while (pulse < pulses.size() && pulses[pulse].off_s <= at.time_s) ++pulse;
    const bool on = pulse < pulses.size() && pulses[pulse].on_s <= at.time_s;
    trace.time_s.push_back(at.time_s);
    const double measured_a = options.gain_ratio * at.current_a + options.offset_a +
                              options.drift_aps * at.time_s + options.current_noise_a * noise(1, k);
    trace.current_a.push_back(
        static_cast<float>(rounded(measured_a, options.range_a, options.bits)));
    const auto put = [](std::vector<float>& column, bool wanted, double value_si) {
      if (wanted) column.push_back(static_cast<float>(value_si));
    };
    put(trace.command_ratio, options.command, on ? 1.0 : 0.0);
    put(trace.voltage_v, options.voltage,
        rounded(at.coil_v + options.voltage_noise_v * noise(2, k), options.range_v, options.bits));
    put(trace.pressure_pa, options.pressure,
        at.hose_end_pressure_pa + options.pressure_noise_pa * noise(3, k));
    put(trace.exit_pressure_pa, options.exit_pressure,
        at.valve_exit_pressure_pa + options.pressure_noise_pa * noise(4, k));
    put(trace.flow_m3ps, options.flow, at.outlet_flow_m3ps + options.flow_noise_m3ps * noise(5, k));
    put(trace.mass_kg, options.mass, at.jet_volume_m3 * row.liquid.density_kgpm3);
  }
}

}  // namespace

BenchTrace bench_trace(const model::RowUnitParams& row, std::span<const OnOff> pulses,
                       const BenchOptions& options) {
  double end_s = options.end_s;
  if (end_s <= 0.0) end_s = pulses.empty() ? 0.02 : pulses.back().off_s + 0.02;
  BenchTrace bench;
  bench.run = run_method_of_lines(row, options.supply_pa, options.supply_v, pulses, end_s,
                                  lines_of(options), true);
  for (std::size_t k = 0; k < pulses.size(); ++k)
    bench.truth.push_back(
        truth_of(pulses[k], k + 1 < pulses.size() ? pulses[k + 1].on_s : end_s, bench.run.events));
  spoil(row, pulses, options, bench);
  return bench;
}

BenchTrace rested_bench_trace(const model::RowUnitParams& row, int pulses, double apart_s,
                              const BenchOptions& options) {
  constexpr double kFirstOn_s = 4.0037e-3;
  constexpr double kRun_s = 28e-3;
  BenchTrace bench;
  std::vector<OnOff> train;
  const auto samples = static_cast<std::size_t>(std::llround(apart_s * options.rate_hz));
  for (int k = 0; k < pulses; ++k) {
    const OnOff own{kFirstOn_s, kFirstOn_s + 9e-3 + 1.0013e-3 * (k % 3)};
    LinesRun run = run_method_of_lines(row, options.supply_pa, options.supply_v, {&own, 1}, kRun_s,
                                       lines_of(options), true);
    const double start_s = static_cast<double>(bench.run.trace.size()) / options.rate_hz;
    run.trace.resize(std::min(run.trace.size(), samples));
    LinesTrace still = run.trace.front();
    still.jet_volume_m3 = run.trace.back().jet_volume_m3;
    run.trace.resize(samples, still);
    const double before_m3 = bench.run.trace.empty() ? 0.0 : bench.run.trace.back().jet_volume_m3;
    for (std::size_t i = 0; i < samples; ++i) {
      LinesTrace at = run.trace[i];
      at.time_s = start_s + static_cast<double>(i) / options.rate_hz;
      at.jet_volume_m3 += before_m3;
      bench.run.trace.push_back(at);
    }
    PulseTruth truth = truth_of(own, kRun_s, run.events);
    for (double* at_s : {&truth.on_s, &truth.off_s, &truth.first_motion_s, &truth.at_stop_s,
                         &truth.left_stop_s, &truth.seated_s})
      *at_s += start_s;
    bench.truth.push_back(truth);
    train.push_back({truth.on_s, truth.off_s});
  }
  spoil(row, train, options, bench);
  return bench;
}

}  // namespace support
