// What the analysis reads from the trace of a made-up valve (trace_bench.h: small steps of its
// own).
#include "sim/study/valve/trace/trace_pulses.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>

#include <cstring>

#include "sim/scenario/loader.h"
#include "sim/study/valve/trace/trace_fit.h"
#include "tests/sim/study/valve/trace/trace_bench.h"

namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using namespace trace_bench;

sim::valve::TraceReading reading_of(const Bench& bench) {
  return {.supply_v = bench.volt,
          .decay = bench.slow ? sim::rig::CurrentDecay::kSlow : sim::rig::CurrentDecay::kFast};
}

// How often a figure was seen, near the truth, and within its own 95 %.
struct Tally {
  int asked = 0, seen = 0, near = 0, covered = 0;

  void take(double truth_s, const sim::valve::Found& found, double near_s) {
    if (std::isnan(truth_s)) return;
    ++asked;
    if (!found.seen()) return;
    ++seen;
    const double off_s = std::abs(found.value - truth_s);
    if (off_s <= near_s) ++near;
    if (off_s <= 1.96 * found.sd) ++covered;
  }
};

struct Tallies {
  Tally motion, stop, left, seat;
};

Tallies tallies_of(const Bench& bench, int pulses, double near_s) {
  const Made made = run(bench, train(pulses), 10e-3 + pulses * 33.78e-3);
  const sim::valve::TraceFindings found = sim::valve::analyse_trace(made.trace, reading_of(bench));
  EXPECT_EQ(found.pulses.size(), static_cast<std::size_t>(pulses));
  Tallies all;
  for (std::size_t p = 0; p < found.pulses.size(); ++p) {
    const sim::valve::TracePulse& pulse = found.pulses[p];
    all.motion.take(made.truth[p].motion, pulse.first_motion_after_s, near_s);
    all.stop.take(made.truth[p].stop, pulse.at_stop_after_s, near_s);
    all.left.take(made.truth[p].left, pulse.left_stop_after_s, near_s);
    all.seat.take(made.truth[p].seat, pulse.seated_after_s, near_s);
    EXPECT_EQ(pulse.faults, 0) << "pulse " << p;
  }
  return all;
}

void expect_good(const Tally& tally, const char* what, int pulses) {
  EXPECT_EQ(tally.asked, pulses) << what;
  EXPECT_GE(tally.seen, 0.95 * pulses) << what;
  EXPECT_GE(tally.near, 0.95 * pulses) << what;
  EXPECT_GE(tally.covered, 0.90 * tally.seen) << what;
}

std::string error_of(const sim::valve::ValveTrace& trace,
                     const sim::valve::TraceReading& reading = {}) {
  try {
    sim::valve::analyse_trace(trace, reading);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "taken";
}

bool same_bits(double a, double b) { return std::memcmp(&a, &b, sizeof a) == 0; }

constexpr double kNear_s = 20e-6;

}  // namespace

TEST(TracePulses, AtHundredKilohertzTheTimesAreWithinTwentyMicroseconds) {
  Bench slow;
  slow.slow = true;
  const Tallies seen_slow = tallies_of(slow, 40, kNear_s);
  expect_good(seen_slow.motion, "slow: motion", 40);
  expect_good(seen_slow.stop, "slow: stop", 40);
  expect_good(seen_slow.left, "slow: left", 40);
  expect_good(seen_slow.seat, "slow: seat", 40);

  Bench volt;
  volt.with_voltage = true;
  const Tallies seen_volt = tallies_of(volt, 40, kNear_s);
  expect_good(seen_volt.motion, "voltage: motion", 40);
  expect_good(seen_volt.stop, "voltage: stop", 40);
  expect_good(seen_volt.left, "voltage: left", 40);
  expect_good(seen_volt.seat, "voltage: seat", 40);

  Bench fast;
  fast.quantum = 10.0 / 4096;
  fast.offset = 0.03;
  fast.drift = 0.02;
  const Tallies seen_fast = tallies_of(fast, 40, kNear_s);
  expect_good(seen_fast.motion, "fast: motion", 40);
  expect_good(seen_fast.stop, "fast: stop", 40);
  expect_good(seen_fast.left, "fast: left", 40);
  EXPECT_EQ(seen_fast.seat.seen, 0);  // the current has ended by then
}

TEST(TracePulses, OtherValvesAndSupplies) {
  Bench weak;  // hardly preloaded, without rebound
  weak.valve.F0 = 2.0;
  weak.valve.e = 0.0;
  Bench heavy;
  heavy.valve.m = 6e-3;
  heavy.valve.L = 4e-3;
  heavy.valve.travel = 0.4e-3;
  Bench low, high;
  low.volt = 9.0;
  high.volt = 24.0;
  for (const Bench& bench : {weak, heavy, low, high}) {
    const Tallies seen = tallies_of(bench, 30, kNear_s);
    expect_good(seen.motion, "motion", 30);
    expect_good(seen.stop, "stop", 30);
  }
}

TEST(TracePulses, OtherSampleRates) {
  Bench megahertz;
  megahertz.hz = 1e6;
  megahertz.slow = true;
  const Tallies fine = tallies_of(megahertz, 12, kNear_s);
  expect_good(fine.motion, "1 MHz: motion", 12);
  expect_good(fine.stop, "1 MHz: stop", 12);
  expect_good(fine.seat, "1 MHz: seat", 12);

  Bench coarse;
  coarse.hz = 10e3;
  coarse.slow = true;
  const Tallies ten = tallies_of(coarse, 30, 100e-6);  // a sample
  EXPECT_GE(ten.stop.near, 27);
  EXPECT_GE(ten.stop.covered, 27);
  EXPECT_GE(ten.seat.near, 27);
  EXPECT_GE(ten.seat.covered, 27);

  Bench one;
  one.hz = 1e3;
  const Made made = run(one, train(10), 0.35);
  const sim::valve::TraceFindings found = sim::valve::analyse_trace(made.trace, reading_of(one));
  EXPECT_THAT(found.cannot_tell, Contains(HasSubstr("one sample at 1 kHz")));
  EXPECT_NEAR(found.resistance_ohm.value, 4.0, 0.01);
  for (const sim::valve::TracePulse& pulse : found.pulses) {
    EXPECT_FALSE(pulse.first_motion_after_s.seen());
    EXPECT_EQ(pulse.faults, 0);  // what is not seen is not called a fault
  }
}

TEST(TracePulses, CoilProbeAndLinkage) {
  Bench bench;
  bench.quantum = 10.0 / 4096;
  bench.offset = -0.05;
  bench.drift = 0.03;
  const Made made = run(bench, train(30), 1.05);
  const sim::valve::TraceFindings found = sim::valve::analyse_trace(made.trace, reading_of(bench));
  EXPECT_NEAR(found.resistance_ohm.value, 4.0, 0.004);
  EXPECT_NEAR(found.inductance_h.value, 2e-3, 4.0 * found.inductance_h.sd);
  EXPECT_LT(found.inductance_h.sd, 10e-6);
  EXPECT_NEAR(found.linkage_vs.value, 5.0 * 0.6e-3, 0.03e-3);
  const double with_quantum = std::sqrt(25e-6 + bench.quantum * bench.quantum / 12.0);
  EXPECT_NEAR(found.noise_a, with_quantum, 0.03 * with_quantum);
  EXPECT_NEAR(found.quantum_a, bench.quantum, 1e-3 * bench.quantum);
  EXPECT_NEAR(found.offset_a, -0.05, 0.5e-3);
  EXPECT_NEAR(found.drift_aps, 0.03, 1e-3);
  EXPECT_NEAR(found.sample_hz, 100e3, 1.0);
  EXPECT_LT(found.misfit_ratio, 1.2);
  EXPECT_EQ(found.gaps, 0);
  const sim::valve::TracePulse& pulse = found.pulses[3];
  EXPECT_NEAR(pulse.on_s, train(30)[3].on, 2e-6);
  EXPECT_NEAR(pulse.off_s, train(30)[3].off, 2e-6);
  EXPECT_NEAR(pulse.lift_off_a, 6.0 / 5.0, 0.05);  // preload over force constant
  EXPECT_NEAR(pulse.hold_a, 3.0, 0.005);
  EXPECT_NEAR(pulse.lift_ratio, 1.0, 0.03);
  EXPECT_NEAR(pulse.still_s, 33.7731e-3 - 12.0021e-3, 5e-6);
}

TEST(TracePulses, FaultsAreTold) {
  Bench bench;
  bench.with_voltage = true;
  std::vector<Pulse> pulses = train(12);
  pulses[3].held = true;                   // does not leave its seat
  pulses[5].off = pulses[5].on + 0.95e-3;  // shorter than its way up
  const Made made = run(bench, pulses, 0.42);
  const sim::valve::TraceFindings found = sim::valve::analyse_trace(made.trace, reading_of(bench));
  for (std::size_t p = 0; p < 12; ++p) {
    const int expected = p == 3   ? sim::valve::kPulseMissing
                         : p == 5 ? sim::valve::kPulseClipped
                                  : 0;
    EXPECT_EQ(found.pulses[p].faults, expected) << "pulse " << p;
  }
  EXPECT_FALSE(found.pulses[3].first_motion_after_s.seen());
  EXPECT_FALSE(found.pulses[5].at_stop_after_s.seen());
}

TEST(TracePulses, AReboundIsMeasuredAndCalledBouncing) {
  Bench soft, hard;
  soft.valve.e = 0.0;
  hard.valve.e = 0.5;
  const auto bounce = [](const Bench& bench) {
    const Made made = run(bench, train(6), 0.22);
    return sim::valve::analyse_trace(made.trace, reading_of(bench)).pulses[2];
  };
  EXPECT_EQ(bounce(soft).bounce_s, 0.0);
  EXPECT_EQ(bounce(soft).faults, 0);
  EXPECT_GT(bounce(hard).bounce_s, 0.5e-3);
  EXPECT_EQ(bounce(hard).faults, sim::valve::kPulseBouncing);
}

TEST(TracePulses, AGapSpoilsItsPulseAlone) {
  const Bench bench;
  Made made = run(bench, train(8), 0.28);
  sim::valve::ValveTrace& trace = made.trace;
  // 0.3 ms lost while the third pulse opens.
  const auto lost_from = static_cast<std::ptrdiff_t>((train(8)[2].on + 0.6e-3) * 1e5);
  const auto cut = [&](auto& column) {
    column.erase(column.begin() + lost_from, column.begin() + lost_from + 30);
  };
  cut(trace.time_s);
  cut(trace.command_ratio);
  cut(trace.current_a);
  const sim::valve::TraceFindings found = sim::valve::analyse_trace(trace, reading_of(bench));
  EXPECT_EQ(found.gaps, 1);
  EXPECT_NEAR(found.longest_gap_s, 0.31e-3, 1e-6);
  for (std::size_t p = 0; p < 8; ++p)
    EXPECT_EQ(found.pulses[p].at_stop_after_s.seen(), p != 2) << "pulse " << p;
  EXPECT_EQ(found.pulses[2].faults, 0);
  EXPECT_THAT(found.cannot_tell, Contains(HasSubstr("1 gap in the samples")));
}

TEST(TracePulses, WhatFastDecayHidesIsSaid) {
  Bench bench;
  const Made made = run(bench, train(4), 0.15);
  EXPECT_THAT(sim::valve::analyse_trace(made.trace, reading_of(bench)).cannot_tell,
              Contains(HasSubstr("a column `voltage [V]`")));
  bench.with_voltage = true;
  const Made volt = run(bench, train(4), 0.15);
  const sim::valve::TraceFindings found = sim::valve::analyse_trace(volt.trace, {});
  EXPECT_TRUE(found.closing_seen);
  EXPECT_EQ(found.decay, sim::rig::CurrentDecay::kFast);
  EXPECT_TRUE(found.cannot_tell.empty());
}

TEST(TracePulses, TheVoltageAloneTellsTheCommands) {
  Bench bench;
  bench.with_voltage = true;
  const Made both = run(bench, train(5), 0.18);
  bench.with_command = false;
  const Made alone = run(bench, train(5), 0.18);
  const auto a = sim::valve::analyse_trace(both.trace, {}),
             b = sim::valve::analyse_trace(alone.trace, {});
  ASSERT_EQ(b.pulses.size(), 5u);
  for (std::size_t p = 0; p < 5; ++p) EXPECT_NEAR(a.pulses[p].on_s, b.pulses[p].on_s, 2e-6);
}

TEST(TracePulses, NoCommandIsToldWithItsLevels) {
  sim::valve::ValveTrace trace;
  for (int k = 0; k < 100; ++k) {
    trace.time_s.push_back(k * 1e-5);
    trace.command_ratio.push_back(0.0f);
    trace.current_a.push_back(0.01f * static_cast<float>(k % 3));
  }
  EXPECT_THAT(error_of(trace), HasSubstr("the trace shows no pulse: command goes from 0 to 0"));
  for (std::size_t k = 50; k < 100; ++k) trace.command_ratio[k] = 5.0f;  // never off again
  EXPECT_THAT(error_of(trace), HasSubstr("command goes from 0 to 5"));
}

TEST(TracePulses, ACurrentThatIsCutOffIsRefused) {
  const Bench bench;
  Made made = run(bench, train(4), 0.15);
  EXPECT_EQ(error_of(made.trace, reading_of(bench)), "taken");
  sim::valve::TraceReading reading = reading_of(bench);
  reading.probe_range_a = 10.0;
  EXPECT_EQ(error_of(made.trace, reading), "taken");
  for (float& current : made.trace.current_a) current = std::min(current, 2.5f);
  EXPECT_THAT(error_of(made.trace, reading_of(bench)), HasSubstr("cut off at 2.5 A"));
  reading.probe_range_a = 2.5;
  EXPECT_THAT(error_of(made.trace, reading), HasSubstr("the end of the probe's range"));
}

TEST(TracePulses, AQuantisedHoldWithoutNoiseIsNotCutOff) {
  Bench bench;
  bench.noise = 0.0;
  bench.quantum = 2.5e-3;
  const Made made = run(bench, train(4), 0.15);
  EXPECT_EQ(error_of(made.trace, reading_of(bench)), "taken");
}

TEST(TracePulses, FlowAndMassGiveDoseAndHalfFlow) {
  const Bench bench;
  Made made = run(bench, train(3), 0.12);
  double mass_kg = 0.0;
  for (const double t_s : made.trace.time_s) {
    double flow_m3ps =
        0.0;  // 1 ml/s, 2 ms after on to 3 ms after off, with straight flanks of 1 ms
    for (const Pulse& pulse : train(3)) {
      const double up = std::clamp((t_s - pulse.on - 2e-3) / 1e-3, 0.0, 1.0);
      const double down = std::clamp((t_s - pulse.off - 3e-3) / 1e-3, 0.0, 1.0);
      flow_m3ps += 1e-6 * (up - down);
    }
    mass_kg += flow_m3ps * 1e-5 * 1000.0;
    made.trace.flow_m3ps.push_back(static_cast<float>(flow_m3ps));
    made.trace.mass_kg.push_back(static_cast<float>(mass_kg));
    made.trace.pressure_pa.push_back(3e5f);
  }
  sim::valve::TraceFindings found = sim::valve::analyse_trace(made.trace, reading_of(bench));
  const double dose_m3 = 1e-6 * (12.0021e-3 + 1e-3);
  for (const sim::valve::TracePulse& pulse : found.pulses) {
    EXPECT_NEAR(pulse.dose_m3.value, dose_m3, 1e-3 * dose_m3);
    EXPECT_NEAR(pulse.half_flow_up_after_s.value, 2.5e-3, 10e-6);
    EXPECT_NEAR(pulse.half_flow_down_after_s.value, 3.5e-3, 10e-6);
  }
  EXPECT_NEAR(found.pressure_pa, 3e5, 1.0);
  EXPECT_NEAR(found.leak_m3ps.value, 0.0, 1e-12);
  made.trace.flow_m3ps.clear();  // by mass alone
  found = sim::valve::analyse_trace(made.trace, reading_of(bench));
  EXPECT_NEAR(found.pulses[1].dose_m3.value, dose_m3, 1e-3 * dose_m3);
}

TEST(TracePulses, TheSameOnAnyThreads) {
  const Bench bench;
  const Made made = run(bench, train(10), 0.35);
  const auto many = sim::valve::analyse_trace(made.trace, reading_of(bench));
  const oneapi::tbb::global_control one(oneapi::tbb::global_control::max_allowed_parallelism, 1);
  const auto alone = sim::valve::analyse_trace(made.trace, reading_of(bench));
  EXPECT_TRUE(same_bits(many.inductance_h.value, alone.inductance_h.value));
  for (std::size_t p = 0; p < 10; ++p) {
    EXPECT_TRUE(same_bits(many.pulses[p].first_motion_after_s.value,
                          alone.pulses[p].first_motion_after_s.value));
    EXPECT_TRUE(same_bits(many.pulses[p].at_stop_after_s.sd, alone.pulses[p].at_stop_after_s.sd));
  }
}

// y = 2 + 3 x through five points, one of them off by 0.5: by hand, x = -2..2, the error at x = 0
// moves the value by 0.1 and the slope not at all; squares left 0.25 (1 - 1/5).
TEST(TraceFit, AStraightLineByHand) {
  sim::valve::SmallFit fit(2);
  for (int x = -2; x <= 2; ++x) fit.take({1.0, double(x)}, 2.0 + 3.0 * x + (x == 0 ? 0.5 : 0.0));
  ASSERT_TRUE(fit.solve());
  EXPECT_NEAR(fit.value(0), 2.1, 1e-12);
  EXPECT_NEAR(fit.value(1), 3.0, 1e-12);
  EXPECT_NEAR(fit.variance(0), 1.0 / 5.0, 1e-12);
  EXPECT_NEAR(fit.variance(1), 1.0 / 10.0, 1e-12);
  EXPECT_NEAR(fit.rest(), 0.2, 1e-12);
  sim::valve::SmallFit twice(2);
  for (int x = 0; x < 5; ++x) twice.take({1.0, 2.0}, 1.0);
  EXPECT_FALSE(twice.solve());
}
