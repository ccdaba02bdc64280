// Cases for the fit of a valve: a setup as a person states it, a true valve beside it, and the
// trace that the true valve leaves.
//
//   truth   each value that a trace can reveal is moved by up to `moved_ratio` either way, the
//           others are the setup's; draws are counted, so that case k is always the same
//
// Errors   those of bench_trace.h
// Checked  tests/sim/study/valve/fit/valve_fit_test.cc, tests/published/valve_fit_slow_test.cc
#pragma once

#include <array>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>

#include "sim/study/rig/rig_setup.h"
#include "sim/study/valve/fit/valve_fit.h"
#include "sim/study/valve/trace/trace_pulses.h"
#include "tests/support/bench_trace.h"

namespace support {

/// Hose, tube, outlet and valve of scenarios/catalog/attachments/short_rake.toml; 3 bar, 12 V.
inline sim::rig::RigSetup fit_setup(double friction_n) {
  sim::rig::RigSetup setup;
  setup.part.hose = {.length_m = 0.2, .bore_m = 8e-3, .wave_speed_mps = 500.0};
  setup.part.tube = {.length_m = 0.3, .bore_m = 8e-3, .wave_speed_mps = 400.0};
  setup.part.outlet.bore_m = 1.6e-3;
  setup.part.valve.plunger.travel_m = 0.8e-3;
  setup.part.valve.seat.diameter_m = 4e-3;
  setup.part.valve.plunger.coulomb_friction_n = friction_n;
  setup.bench.probe_gain_tolerance_ratio = 0.0;
  return setup;
}

/// The same with a reluctance solenoid that saturates and has eddy currents; the current runs out
/// through a diode's path, so that it shows the landing.
inline sim::rig::RigSetup iron_fit_setup() {
  sim::rig::RigSetup setup = fit_setup(0.0);
  model::Coil& coil = setup.part.valve.coil;
  coil.force_law = model::ForceLaw::kReluctance;
  coil.resistance_ohm = 3.0;
  coil.inductance_h = 6e-3;
  coil.reluctance = {.gap_m = 1.3e-3,
                     .leakage_h = 0.9e-3,
                     .saturation_vs = 20e-3,
                     .half_current_a = 0.4,
                     .eddy_ohm = 40.0};
  setup.drive.decay = sim::rig::CurrentDecay::kSlow;
  return setup;
}

/// The value that belongs to a key of FittedValue.
inline double& value_in(model::Valve& valve, std::string_view key) {  // tidy: unit the value's
  if (key == "coil.resistance") return valve.coil.resistance_ohm;
  if (key == "coil.inductance") return valve.coil.inductance_h;
  if (key == "coil.force_constant") return valve.coil.force_constant_npa;
  if (key == "coil.gap") return valve.coil.reluctance.gap_m;
  if (key == "coil.leakage") return valve.coil.reluctance.leakage_h;
  if (key == "coil.saturation") return valve.coil.reluctance.saturation_vs;
  if (key == "coil.half_current") return valve.coil.reluctance.half_current_a;
  if (key == "coil.eddy_resistance") return valve.coil.reluctance.eddy_ohm;
  if (key == "plunger.mass") return valve.plunger.mass_kg;
  if (key == "plunger.preload") return valve.plunger.preload_n;
  if (key == "plunger.spring_rate") return valve.plunger.spring_rate_npm;
  if (key == "plunger.coulomb_friction") return valve.plunger.coulomb_friction_n;
  if (key == "plunger.travel") return valve.plunger.travel_m;
  if (key == "plunger.restitution") return valve.plunger.restitution_ratio;
  return valve.seat.diameter_m;
}

inline constexpr std::array<std::string_view, 7> kMovedKeys = {
    "coil.resistance",     "coil.inductance", "coil.force_constant", "plunger.preload",
    "plunger.spring_rate", "plunger.travel",  "plunger.restitution"};

inline constexpr std::array<std::string_view, 11> kMovedIronKeys = {
    "coil.resistance",     "coil.inductance",     "coil.gap",
    "plunger.preload",     "plunger.spring_rate", "plunger.travel",
    "plunger.restitution", "coil.leakage",        "coil.saturation",
    "coil.half_current",   "coil.eddy_resistance"};

inline model::Valve moved_valve(const model::Valve& valve, std::uint64_t case_number,
                                double moved_ratio) {
  model::Valve moved = valve;
  std::span<const std::string_view> keys = kMovedKeys;
  if (valve.coil.force_law == model::ForceLaw::kReluctance) keys = kMovedIronKeys;
  for (std::size_t k = 0; k < keys.size(); ++k)
    value_in(moved, keys[k]) *=
        1.0 + moved_ratio * (2.0 * uniform_draw_ratio(1000 + case_number, k) - 1.0);
  return moved;
}

inline sim::valve::TraceFindings findings_of(const sim::valve::ValveTrace& trace,
                                             const sim::rig::RigSetup& setup) {
  return sim::valve::analyse_trace(trace, {.supply_v = setup.drive.supply_v,
                                           .decay = setup.drive.decay,
                                           .density_kgpm3 = setup.liquid.liquid.density_kgpm3,
                                           .coil = setup.part.valve.coil,
                                           .travel_m = setup.part.valve.plunger.travel_m,
                                           .mass_kg = setup.part.valve.plunger.mass_kg});
}

struct FitCase {
  model::Valve truth;
  BenchTrace bench;
};

/// A trace of `pulses` pulses of the true valve under the setup's hydraulics. Each starts on a
/// column at rest: every pulse is a run of its own (three widths in turn), kApart_s between them.
inline constexpr double kApart_s = 0.25;
inline FitCase fit_case(const sim::rig::RigSetup& setup, const model::Valve& truth, int pulses,
                        BenchOptions options) {
  sim::rig::RigSetup bench = setup;
  bench.part.valve = truth;
  options.supply_pa = setup.supply_pa;
  options.supply_v = setup.drive.supply_v;
  options.slow_decay = setup.drive.decay == sim::rig::CurrentDecay::kSlow;
  return {truth, rested_bench_trace(sim::rig::row_of(bench), pulses, kApart_s, options)};
}

}  // namespace support
