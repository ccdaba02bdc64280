// The fit of a valve against traces whose truth is known: another integrator made them
// (tests/support/method_of_lines.h), so that nothing of the fitted model is in the data.
#include "sim/study/valve/fit/valve_fit.h"

#include <gtest/gtest.h>
#include <tbb/global_control.h>

#include <cmath>

#include "sim/scenario/loader.h"
#include "tests/support/fit_cases.h"
#include "tests/support/scratch_folder.h"

namespace sim::valve {
namespace {

support::BenchOptions probe() {
  return {.current_noise_a = 7e-3,
          .voltage_noise_v = 20e-3,
          .offset_a = 10e-3,
          .drift_aps = 0.05,
          .bits = 12};
}

ValveFit fit_of(const rig::RigSetup& setup, const support::FitCase& one) {
  return fit_valve(setup, one.bench.trace, support::findings_of(one.bench.trace, setup), {});
}

const FittedValue& value_of(const ValveFit& fit, const std::string& key) {
  for (const FittedValue& value : fit.values)
    if (value.key == key) return value;
  throw std::logic_error(key);
}

TEST(ValveFit, FindsTheCoilAndTheTimes) {
  const rig::RigSetup setup = support::fit_setup(0.3);
  const auto one =
      support::fit_case(setup, support::moved_valve(setup.part.valve, 1, 0.2), 3, probe());
  const ValveFit fit = fit_of(setup, one);
  EXPECT_NEAR(fit.valve.coil.resistance_ohm / one.truth.coil.resistance_ohm, 1.0, 2e-3);
  EXPECT_NEAR(fit.valve.coil.inductance_h / one.truth.coil.inductance_h, 1.0, 1e-2);
  const support::PulseTruth& truth = one.bench.truth[0];
  EXPECT_NEAR(fit.at_stop_after_s, truth.at_stop_s - truth.on_s, 20e-6);
  EXPECT_NEAR(fit.seated_after_s, truth.seated_s - truth.off_s, 20e-6);
}

// Mass and seat set the scale of all forces, and a current reveals only the ratios.
TEST(ValveFit, SaysWhatItHolds) {
  const rig::RigSetup setup = support::fit_setup(0.3);
  const ValveFit fit = fit_of(setup, support::fit_case(setup, setup.part.valve, 1, probe()));
  for (const char* key : {"plunger.mass", "seat.diameter"}) {
    const FittedValue& value = value_of(fit, key);
    EXPECT_FALSE(value.told);
    EXPECT_EQ(value.value_si, value.setup_si);
    EXPECT_NE(value.why_held.find("held at the setup's value"), std::string::npos);
  }
  EXPECT_TRUE(value_of(fit, "coil.resistance").told);
  const std::string text = valve_file_text(fit, "bench");
  EXPECT_NE(text.find("[plunger]"), std::string::npos);
  EXPECT_NE(text.find("weigh"), std::string::npos);
}

TEST(ValveFit, ItsFileIsReadBackToTheBit) {
  const rig::RigSetup setup = support::fit_setup(0.3);
  const ValveFit fit = fit_of(setup, support::fit_case(setup, setup.part.valve, 1, probe()));
  const ScratchFolder folder;
  const auto file = folder.write("valve.toml", valve_file_text(fit, "bench"));
  const rig::RigSetup taken =
      rig::load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml",
                          {"valve.file=\"" + file.string() + "\""});
  EXPECT_EQ(taken.part.valve.coil.resistance_ohm, fit.valve.coil.resistance_ohm);
  EXPECT_EQ(taken.part.valve.coil.force_constant_npa, fit.valve.coil.force_constant_npa);
  EXPECT_EQ(taken.part.valve.plunger.preload_n, fit.valve.plunger.preload_n);
  EXPECT_EQ(taken.part.valve.plunger.spring_rate_npm, fit.valve.plunger.spring_rate_npm);
  EXPECT_EQ(taken.part.valve.plunger.travel_m, fit.valve.plunger.travel_m);
  EXPECT_EQ(taken.part.valve.plunger.restitution_ratio, fit.valve.plunger.restitution_ratio);
  EXPECT_EQ(taken.part.valve.seat.half_angle_rad, fit.valve.seat.half_angle_rad);
}

TEST(ValveFit, AReluctanceValvesFileIsReadBackToTheBit) {
  const ValveFit fit{.valve = support::iron_fit_setup().part.valve};
  const ScratchFolder folder;
  const auto file = folder.write("valve.toml", valve_file_text(fit, "bench"));
  const model::Coil taken =
      rig::load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml",
                          {"valve.file=\"" + file.string() + "\""})
          .part.valve.coil;
  const model::Reluctance& iron = fit.valve.coil.reluctance;
  EXPECT_EQ(taken.force_law, model::ForceLaw::kReluctance);
  EXPECT_EQ(taken.inductance_h, fit.valve.coil.inductance_h);
  EXPECT_EQ(taken.reluctance.gap_m, iron.gap_m);
  EXPECT_EQ(taken.reluctance.leakage_h, iron.leakage_h);
  EXPECT_EQ(taken.reluctance.saturation_vs, iron.saturation_vs);
  EXPECT_EQ(taken.reluctance.half_current_a, iron.half_current_a);
  EXPECT_EQ(taken.reluctance.eddy_ohm, iron.eddy_ohm);
}

TEST(ValveFitSlow, TheSameBytesOnOneThreadAndTwo) {
  const rig::RigSetup setup = support::fit_setup(0.3);
  const auto one = support::fit_case(setup, setup.part.valve, 1, probe());
  std::string texts[2];
  for (int threads = 1; threads <= 2; ++threads) {
    const tbb::global_control limit(tbb::global_control::max_allowed_parallelism,
                                    static_cast<std::size_t>(threads));
    texts[threads - 1] = valve_file_text(fit_of(setup, one), "bench");
  }
  EXPECT_EQ(texts[0], texts[1]);
}

TEST(ValveFit, NoPulseThatCanBeFittedIsSaid) {
  const rig::RigSetup setup = support::fit_setup(0.3);
  const auto one = support::fit_case(setup, setup.part.valve, 2, probe());
  TraceFindings findings = support::findings_of(one.bench.trace, setup);
  for (TracePulse& pulse : findings.pulses) pulse.faults |= kPulseMissing;
  EXPECT_THROW(fit_valve(setup, one.bench.trace, findings, {}), text::InputError);
}

// One of three pulses is reported as missing: the two others carry the fit.
TEST(ValveFit, LeavesAMissingPulseOut) {
  const rig::RigSetup setup = support::fit_setup(0.3);
  const auto one = support::fit_case(setup, setup.part.valve, 3, probe());
  TraceFindings findings = support::findings_of(one.bench.trace, setup);
  ASSERT_EQ(findings.pulses.size(), 3U);
  findings.pulses[1].faults |= kPulseMissing;
  EXPECT_EQ(fit_valve(setup, one.bench.trace, findings, {}).pulses, 2);
}

}  // namespace
}  // namespace sim::valve
