// Traces of reluctance solenoids whose truth is known: another integrator with equations of its own
// made them (tests/support/method_of_lines.h), and every value of the read circuit is off.
#include "sim/study/valve/trace/trace_iron.h"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/study/valve/trace/trace_iron_fit.h"
#include "tests/support/fit_cases.h"

namespace sim::valve {
namespace {

support::BenchOptions probe() {
  return {.current_noise_a = 5e-3,
          .voltage_noise_v = 20e-3,
          .offset_a = 10e-3,
          .drift_aps = 0.05,
          .bits = 12};
}

void expect_near_truth(const support::FitCase& one, const TraceFindings& findings) {
  ASSERT_EQ(findings.pulses.size(), one.bench.truth.size());
  double start_s = 0.0;
  for (std::size_t p = 0; p < findings.pulses.size(); ++p) {
    const support::PulseTruth& truth = one.bench.truth[p];
    const TracePulse& pulse = findings.pulses[p];
    EXPECT_EQ(pulse.faults, 0);
    EXPECT_NEAR(pulse.at_stop_after_s.value, truth.at_stop_s - truth.on_s, 50e-6);
    EXPECT_NEAR(pulse.seated_after_s.value, truth.seated_s - truth.off_s, 50e-6);
    EXPECT_NEAR(pulse.first_motion_after_s.value, truth.first_motion_s - truth.on_s,
                4.0 * pulse.first_motion_after_s.sd);
    EXPECT_NEAR(pulse.left_stop_after_s.value, truth.left_stop_s - truth.off_s,
                4.0 * pulse.left_stop_after_s.sd);
    start_s += (pulse.first_motion_after_s.value - (truth.first_motion_s - truth.on_s)) /
               static_cast<double>(findings.pulses.size());
  }
  EXPECT_NEAR(start_s, 0.0, 100e-6);
}

TEST(TraceIron, ReadsPulsesWhateverTheSetupIsOff) {
  const rig::RigSetup setup = support::iron_fit_setup();
  for (const std::uint64_t draw : {1, 2, 3}) {
    SCOPED_TRACE(draw);
    const auto one =
        support::fit_case(setup, support::moved_valve(setup.part.valve, draw, 0.1), 3, probe());
    const TraceFindings findings = support::findings_of(one.bench.trace, setup);
    expect_near_truth(one, findings);
    EXPECT_NEAR(findings.resistance_ohm.value / one.truth.coil.resistance_ohm, 1.0, 2e-3);
    EXPECT_NEAR(findings.inductance_h.value / one.truth.coil.inductance_h, 1.0, 0.05);
    EXPECT_FALSE(findings.linkage_vs.seen()) << "force constant times travel is the linear law's";
  }
}

TEST(TraceIron, ReadsThemWithoutAVoltageColumn) {
  const rig::RigSetup setup = support::iron_fit_setup();
  support::BenchOptions options = probe();
  options.voltage = false;
  const auto one = support::fit_case(setup, setup.part.valve, 3, options);
  expect_near_truth(one, support::findings_of(one.bench.trace, setup));
}

TEST(TraceIron, APlungerThatNeverLeavesItsSeatIsMissing) {
  const rig::RigSetup setup = support::iron_fit_setup();
  model::Valve stuck = setup.part.valve;
  stuck.plunger.preload_n = 100.0;
  const auto one = support::fit_case(setup, stuck, 3, probe());
  for (const TracePulse& pulse : support::findings_of(one.bench.trace, setup).pulses)
    EXPECT_EQ(pulse.faults, kPulseMissing);
}

// With fast decay the field is gone before the plunger lands: the trace must say so and must not
// call the valve sticking.
TEST(TraceIron, AFieldThatFadesHidesTheSeat) {
  rig::RigSetup setup = support::iron_fit_setup();
  setup.drive.decay = rig::CurrentDecay::kFast;
  const auto one = support::fit_case(setup, setup.part.valve, 3, probe());
  const TraceFindings findings = support::findings_of(one.bench.trace, setup);
  bool said = false;
  for (const std::string& line : findings.cannot_tell)
    said = said || line.find("field has faded") != std::string::npos;
  EXPECT_TRUE(said);
  for (const TracePulse& pulse : findings.pulses) {
    EXPECT_FALSE(pulse.seated_after_s.seen());
    EXPECT_EQ(pulse.faults & kPulseSticking, 0);
  }
}

// A circuit outside what the model allows comes back to its edge.
TEST(TraceIron, KeepsACircuitPhysical) {
  model::Coil coil = support::iron_fit_setup().part.valve.coil;
  coil.reluctance.gap_m = 0.5e-3;
  coil.reluctance.leakage_h = 2.0 * coil.inductance_h;
  coil.reluctance.half_current_a = 1e3;
  keep_physical(coil, 0.8e-3);
  EXPECT_GT(coil.reluctance.gap_m, 0.8e-3);
  EXPECT_LT(coil.reluctance.leakage_h, coil.inductance_h);
  EXPECT_LT(coil.reluctance.half_current_a,
            coil.reluctance.saturation_vs / (coil.inductance_h - coil.reluctance.leakage_h));
}

}  // namespace
}  // namespace sim::valve
