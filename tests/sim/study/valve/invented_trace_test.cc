// An invented bench trace: what must hold so that it can stand for a real one.
#include "sim/study/valve/invented_trace.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/valve/wear.h"
#include "sim/scenario/loader.h"
#include "sim/study/rig/valve_drive.h"
#include "sim/study/valve/trace/trace_pulses.h"
#include "sim/study/valve/valve_check.h"
#include "tests/support/linear_coil.h"

namespace sim::valve {
namespace {

rig::RigSetup demo(std::vector<std::string> sets) {
  sets.push_back("drive.period=\"60 ms\"");
  sets.push_back("drive.pulses=4");
  return rig::load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml",
                             support::with_linear_coil(sets));
}

std::size_t sample_at(const ValveTrace& trace, double time_s) {
  std::size_t k = 0;
  while (trace.time_s[k] < time_s) ++k;
  return k;
}

// Late in a command the current stands at V/R = 12.6/4 = 3.15 A, within noise and one step of
// 10 A / 4096.
TEST(InventedTrace, HoldsWhatOhmSays) {
  const ValveTrace trace = invent_trace(demo({"bench.current_noise=\"0 A\""}));
  EXPECT_NEAR(static_cast<double>(trace.current_a[sample_at(trace, 2e-3 + 16e-3)]), 3.15, 0.003);
  EXPECT_EQ(trace.current_a.front(), 0.0F);
  EXPECT_EQ(trace.size(), trace.voltage_v.size());
}

TEST(InventedTrace, ItsNoiseHasTheStatedSpread) {
  const ValveTrace still = invent_trace(demo({"bench.current_noise=\"0 A\"", "bench.bits=24"}));
  const ValveTrace noisy = invent_trace(demo({"bench.current_noise=\"8 mA\"", "bench.bits=24"}));
  double sum = 0.0;
  for (std::size_t k = 0; k < still.size(); ++k) {
    const double off_a = static_cast<double>(noisy.current_a[k] - still.current_a[k]);
    sum += off_a * off_a;
  }
  const double sd_a = std::sqrt(sum / static_cast<double>(still.size()));
  // 4 of 1/sqrt(2 n), n = 4840
  EXPECT_NEAR(sd_a / 8e-3, 1.0, 4.0 / std::sqrt(2.0 * static_cast<double>(still.size())));
}

TEST(InventedTrace, AnOddPulseOpensLater) {
  const ValveTrace trace = invent_trace(
      demo({"bench.odd_every=2", "bench.odd_friction=\"3 N\"", "bench.current_noise=\"0 A\""}));
  // 1.2 ms after the command the plunger of a good pulse moves and pushes the current down.
  const float good_a = trace.current_a[sample_at(trace, 2e-3 + 1.2e-3)];
  const float odd_a = trace.current_a[sample_at(trace, 62e-3 + 1.2e-3)];
  EXPECT_GT(odd_a, good_a + 0.1F);
}

TEST(InventedTrace, TheCupFillsByWhatLeaves) {
  const ValveTrace trace = invent_trace(demo({"bench.weighed=true"}));
  for (std::size_t k = 1; k < trace.size(); ++k) ASSERT_GE(trace.mass_kg[k], trace.mass_kg[k - 1]);
  const float one_kg = trace.mass_kg[sample_at(trace, 61e-3)];
  EXPECT_NEAR(static_cast<double>(trace.mass_kg.back() / one_kg), 4.0, 0.02);
}

TEST(InventedTrace, WidthsComeInTurn) {
  const ValveTrace trace =
      invent_trace(demo({"bench.widths_in_turn=true", "programme.widths=[\"4 ms\", \"8 ms\"]"}));
  const auto driven_s = [&](double from_s) {
    double driven = 0.0;  // tidy: unit s
    for (std::size_t k = sample_at(trace, from_s); k < sample_at(trace, from_s + 50e-3); ++k)
      driven += trace.command_ratio[k] > 0.5F ? 1.0 / 20e3 : 0.0;
    return driven;
  };
  EXPECT_NEAR(driven_s(1e-3), 4e-3, 0.06e-3);
  EXPECT_NEAR(driven_s(61e-3), 8e-3, 0.06e-3);
  EXPECT_NEAR(driven_s(121e-3), 4e-3, 0.06e-3);
}

// The worn pair's leak, Q = pi d h^3 dp/(12 mu L) (model/valve/wear.h), falls into the cup before
// the first command as well, and the trace's analysis weighs it.
TEST(InventedTrace, ALeakIsWeighedInTheRestBeforeTheFirstPulse) {
  const rig::RigSetup setup = demo({"bench.weighed=true", "drive.first_on=\"2 s\"",
                                    "valve.wear.cycles=60e6", "valve.wear.gap_at_life=\"15 um\""});
  const double leak_m3ps =
      model::leak_m3pspa(setup.part.valve, setup.liquid.liquid) * setup.supply_pa;
  const TraceFindings findings = analyse_trace(
      invent_trace(setup),
      {.decay = setup.drive.decay, .density_kgpm3 = setup.liquid.liquid.density_kgpm3});
  EXPECT_NEAR(findings.leak_m3ps.value, leak_m3ps, 0.02 * leak_m3ps);
}

// The times of the drive itself against those that its trace shows: other sampling, noise, 12 bits.
TEST(InventedTrace, ItsAnalysisFindsTheTimesOfTheDrive) {
  const rig::RigSetup setup = demo({"bench.sample_rate=\"100 kHz\""});
  const bench::PulseCommand command{1e-3, 1e-3 + setup.drive.on_time_s};
  const rig::TimedPulse truth =
      rig::drive_valve(setup, rig::conditions_of(setup), {&command, 1}, 0.02)[0];
  const TraceFindings findings = analyse_trace(invent_trace(setup), {.decay = setup.drive.decay});
  ASSERT_EQ(findings.pulses.size(), 4u);
  for (const TracePulse& pulse : findings.pulses) {
    // Starts are known less well, and reported so: the plunger creeps away from its walls.
    EXPECT_NEAR(pulse.first_motion_after_s.value, truth.first_motion_s,
                3.0 * pulse.first_motion_after_s.sd);
    EXPECT_NEAR(pulse.at_stop_after_s.value, truth.at_stop_s, 20e-6);
    EXPECT_NEAR(pulse.left_stop_after_s.value, truth.left_stop_s, 3.0 * pulse.left_stop_after_s.sd);
    EXPECT_NEAR(pulse.seated_after_s.value, truth.seated_s, 20e-6);
  }
}

// The same for a reluctance solenoid.
TEST(InventedTrace, ItsAnalysisFindsTheTimesOfAReluctanceValve) {
  const rig::RigSetup setup =
      demo({"bench.sample_rate=\"100 kHz\"", "valve.coil.force_law=\"reluctance\"",
            "valve.coil.inductance=\"6 mH\"", "valve.coil.gap=\"1.3 mm\"",
            "valve.coil.leakage=\"0.9 mH\"", "valve.coil.saturation=\"20 mWb\"",
            "valve.coil.half_current=\"0.4 A\"", "valve.coil.eddy_resistance=\"40 ohm\""});
  const bench::PulseCommand command{1e-3, 1e-3 + setup.drive.on_time_s};
  const rig::TimedPulse truth =
      rig::drive_valve(setup, rig::conditions_of(setup), {&command, 1}, 0.02)[0];
  const TraceFindings findings = analyse_trace(invent_trace(setup), reading_of(setup));
  ASSERT_EQ(findings.pulses.size(), 4u);
  for (const TracePulse& pulse : findings.pulses) {
    EXPECT_NEAR(pulse.first_motion_after_s.value, truth.first_motion_s,
                4.0 * pulse.first_motion_after_s.sd);
    EXPECT_NEAR(pulse.at_stop_after_s.value, truth.at_stop_s, 50e-6);
    EXPECT_NEAR(pulse.left_stop_after_s.value, truth.left_stop_s, 4.0 * pulse.left_stop_after_s.sd);
    EXPECT_NEAR(pulse.seated_after_s.value, truth.seated_s, 50e-6);
    EXPECT_EQ(pulse.faults, 0);
  }
}

TEST(InventedTrace, MoreSamplesThanATraceMayHaveAreRefused) {
  rig::RigSetup setup = demo({});
  setup.drive.pulses = 1'000'000;
  try {
    invent_trace(setup);
    FAIL() << "accepted";
  } catch (const text::InputError& error) {
    EXPECT_NE(std::string(error.what()).find("fewer drive.pulses"), std::string::npos)
        << error.what();
  }
}

TEST(InventedTrace, PulsesThatRunIntoEachOtherAreRefused) {
  rig::RigSetup setup = demo({});
  setup.drive.period_s = 20e-3;
  EXPECT_THROW(invent_trace(setup), text::InputError);
}

TEST(InventedTrace, SameBytesTwice) {
  EXPECT_EQ(trace_csv(invent_trace(demo({}))), trace_csv(invent_trace(demo({}))));
}

}  // namespace
}  // namespace sim::valve
