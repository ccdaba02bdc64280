// Exact laws of coil and plunger are sampled as by a probe and found again by the trace analysis;
// then follow traces of another integrator.
//
//   RL rise and clamp decay   exact solutions of L di/dt = u - R i
//   voice coil                R 4 ohm, L 2 mH, K 5 N/A, m 3 g, 12 V, no spring: eigenvalues
//                             -1000 +- 1779.51304i of L m s^2 + R m s + K^2 = 0; 0.5 mm after
//                             0.78009 ms (computed outside this program from the closed form)
//   method of lines           tests/support/bench_trace.h: hose, valve, tube and outlet under a
//                             general integrator, which states its own events
#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <cstdio>
#include <functional>

#include "sim/study/valve/trace/trace_pulses.h"
#include "tests/sim/study/valve/trace/trace_bench.h"
#include "tests/support/bench_trace.h"
#include "tests/support/drive_row.h"

namespace {

constexpr double kResistance_ohm = 4.0, kInductance_h = 2e-3, kSupply_v = 12.0;

// Pulses of a current given after its command, sampled with noise and quantum.
sim::valve::ValveTrace sampled(const std::function<double(double)>& current_a, int pulses,
                               double on_s, double noise_a, double quantum_a, double hz = 100e3) {
  constexpr double kPeriod_s = 40.0037e-3, kFirst_s = 10.0013e-3;
  sim::valve::ValveTrace trace;
  trace_bench::Chance chance(7);
  const auto samples = static_cast<int>((kFirst_s + pulses * kPeriod_s) * hz);
  for (int k = 0; k < samples; ++k) {
    const double t_s = k / hz;
    const double since_s = std::fmod(t_s - kFirst_s + kPeriod_s, kPeriod_s);
    const bool begun = t_s >= kFirst_s;
    double i_a = (begun ? current_a(since_s) : 0.0) + noise_a * chance.normal();
    if (quantum_a > 0.0) i_a = std::round(i_a / quantum_a) * quantum_a;
    trace.time_s.push_back(t_s);
    trace.command_ratio.push_back(begun && since_s < on_s ? 1.0f : 0.0f);
    trace.current_a.push_back(static_cast<float>(i_a));
  }
  return trace;
}

// From i0 to where the voltage would hold it, for t after the change.
double rl_a(double i0_a, double volt, double t_s) {
  const double end_a = volt / kResistance_ohm;
  return end_a + (i0_a - end_a) * std::exp(-t_s * kResistance_ohm / kInductance_h);
}

constexpr double kOn_s = 12.0e-3;

// For a plunger that cannot move: rise, then the supply reversed until t = (L/R) ln(1 + I0 R/V).
double held_a(double t_s) {
  if (t_s < kOn_s) return rl_a(0.0, kSupply_v, t_s);
  const double i0_a = rl_a(0.0, kSupply_v, kOn_s);
  const double gone_s =
      kInductance_h / kResistance_ohm * std::log(1.0 + i0_a * kResistance_ohm / kSupply_v);
  return t_s - kOn_s < gone_s ? rl_a(i0_a, -kSupply_v, t_s - kOn_s) : 0.0;
}

constexpr double kDecay_ps = 1000.0, kTurn_ps = 1779.51304, kLanding_s = 0.78009e-3;
constexpr double kFinal_mps = 12.0 / 5.0;

double voice_coil_a(double t_s) {
  const double square = kDecay_ps * kDecay_ps + kTurn_ps * kTurn_ps;
  const auto free_a = [&](double at_s) {  // m v'/K
    return 3e-3 / 5.0 * kFinal_mps * square / kTurn_ps * std::exp(-kDecay_ps * at_s) *
           std::sin(kTurn_ps * at_s);
  };
  if (t_s < kLanding_s) return free_a(t_s);
  const double landed_a = free_a(kLanding_s);  // and stays: e = 0
  if (t_s < kOn_s) return rl_a(landed_a, kSupply_v, t_s - kLanding_s);
  const double last_a = rl_a(landed_a, kSupply_v, kOn_s - kLanding_s);
  return std::max(0.0, rl_a(last_a, -kSupply_v, t_s - kOn_s));
}

}  // namespace

TEST(PublishedValveTrace, TheVoiceCoilOfThisTestIsThePublishedOne) {
  // i = 1.21346315 A at 1 ms (computed outside this program), free of any stop.
  const double square = kDecay_ps * kDecay_ps + kTurn_ps * kTurn_ps;
  const double i_a = 3e-3 / 5.0 * kFinal_mps * square / kTurn_ps * std::exp(-kDecay_ps * 1e-3) *
                     std::sin(kTurn_ps * 1e-3);
  EXPECT_NEAR(i_a, 1.21346315, 1e-7);
}

TEST(PublishedValveTrace, ResistanceAndInductanceOutOfTheExactRise) {
  for (const double noise_a : {0.2e-3, 5e-3}) {
    const auto found = sim::valve::analyse_trace(sampled(held_a, 10, kOn_s, noise_a, 0.0), {});
    EXPECT_NEAR(found.resistance_ohm.value, kResistance_ohm, 4e-3);
    EXPECT_NEAR(found.inductance_h.value, kInductance_h,
                std::max(3.0 * found.inductance_h.sd, 1e-3 * kInductance_h));
    EXPECT_LT(found.inductance_h.sd, 5e-3 * kInductance_h);
    for (const sim::valve::TracePulse& pulse : found.pulses) {
      EXPECT_EQ(pulse.faults, sim::valve::kPulseMissing);  // held, and reported as such
      EXPECT_FALSE(pulse.at_stop_after_s.seen());
    }
  }
}

TEST(PublishedValveTrace, AWrongSupplyShowsInTheResistance) {
  // The trace is read with 10 % more supply than the valve had: R and L come out 10 % larger, as
  // u/R and u/L demand.
  sim::valve::TraceReading reading;
  reading.supply_v = 1.1 * kSupply_v;
  const auto found = sim::valve::analyse_trace(sampled(held_a, 10, kOn_s, 1e-3, 0.0), reading);
  EXPECT_NEAR(found.resistance_ohm.value, 1.1 * kResistance_ohm, 5e-3);
  EXPECT_NEAR(found.inductance_h.value, 1.1 * kInductance_h, 2e-3 * kInductance_h);
}

TEST(PublishedValveTrace, TheVoiceCoilLandsAfterItsClosedForm) {
  for (const double hz : {100e3, 1e6}) {
    const int pulses = hz > 2e5 ? 6 : 20;
    const auto found =
        sim::valve::analyse_trace(sampled(voice_coil_a, pulses, kOn_s, 5e-3, 10.0 / 4096, hz), {});
    EXPECT_NEAR(found.linkage_vs.value, 5.0 * 0.5e-3, 0.05e-3);
    EXPECT_NEAR(found.inductance_h.value, kInductance_h, 0.01 * kInductance_h);
    int covered = 0;
    for (const sim::valve::TracePulse& pulse : found.pulses) {
      ASSERT_TRUE(pulse.at_stop_after_s.seen());
      EXPECT_NEAR(pulse.at_stop_after_s.value, kLanding_s, 20e-6);
      EXPECT_NEAR(pulse.first_motion_after_s.value, 0.0, 20e-6);  // no preload: at once
      EXPECT_EQ(pulse.faults, 0);
      const double off_s = std::abs(pulse.at_stop_after_s.value - kLanding_s);
      covered += off_s <= 1.96 * pulse.at_stop_after_s.sd ? 1 : 0;
    }
    EXPECT_GE(covered, pulses * 9 / 10);
  }
}

namespace {

struct Tally {
  int asked = 0, seen = 0, near = 0, covered = 0;
  double worst_s = 0.0, sum_s = 0.0;

  void take(double truth_s, const sim::valve::Found& found) {
    if (std::isnan(truth_s)) return;
    ++asked;
    if (!found.seen()) return;
    ++seen;
    const double off_s = found.value - truth_s;
    near += std::abs(off_s) <= 20e-6 ? 1 : 0;
    covered += std::abs(off_s) <= 1.96 * found.sd ? 1 : 0;
    worst_s = std::max(worst_s, std::abs(off_s));
    sum_s += off_s;
  }
  void print(const char* what) const {
    std::printf("%-24s asked %3d seen %3d within 20 us %3d covered %3d mean %+.1f worst %.1f us\n",
                what, asked, seen, near, covered, seen > 0 ? sum_s / seen * 1e6 : 0.0,
                worst_s * 1e6);
  }
};

struct Four {
  Tally motion, stop, left, seat;
};

struct Case {
  double supply_v, supply_pa, preload_n, mass_kg, travel_m, inductance_h, noise_a;
  int bits;
};

constexpr std::array kCases = {
    Case{12.0, 3e5, 4.0, 3e-3, 0.6e-3, 2e-3, 5e-3, 12},
    Case{12.0, 2e5, 5.0, 3e-3, 0.5e-3, 2e-3, 5e-3, 0},
    Case{10.0, 3e5, 4.0, 3e-3, 0.6e-3, 2e-3, 3e-3, 12},
    Case{14.0, 4e5, 4.0, 4e-3, 0.6e-3, 2.5e-3, 2e-3, 14},
    Case{13.0, 2.5e5, 6.0, 2.5e-3, 0.7e-3, 1.5e-3, 5e-3, 12},
    // The analysis was set up on the five above, without those below.
    Case{12.5, 2.8e5, 4.5, 3.5e-3, 0.55e-3, 2.2e-3, 5e-3, 12},
    Case{11.0, 2.2e5, 3.5, 2.8e-3, 0.5e-3, 1.8e-3, 4e-3, 12},
    Case{13.5, 3.5e5, 5.0, 3.2e-3, 0.65e-3, 2.4e-3, 3e-3, 0},
    Case{14.0, 2e5, 5.5, 4.5e-3, 0.6e-3, 2e-3, 5e-3, 12},
    Case{12.0, 4e5, 4.0, 2.6e-3, 0.7e-3, 2.1e-3, 2e-3, 14},
    Case{10.5, 2.5e5, 4.2, 3e-3, 0.45e-3, 1.6e-3, 5e-3, 12},
};
enum class Seen { kCurrentFast, kCurrentSlow, kVoltage };

void run_case(const Case& one, Seen seen, std::uint64_t draws, Four& four) {
  model::RowUnitParams row = support::base_row();
  row.valve.plunger.preload_n = one.preload_n;
  row.valve.plunger.mass_kg = one.mass_kg;
  row.valve.plunger.travel_m = one.travel_m;
  row.valve.coil.inductance_h = one.inductance_h;
  support::BenchOptions options;
  options.supply_v = one.supply_v;
  options.supply_pa = one.supply_pa;
  options.slow_decay = seen == Seen::kCurrentSlow;
  options.voltage = seen == Seen::kVoltage;
  options.voltage_noise_v = 0.02;
  options.current_noise_a = one.noise_a;
  options.bits = one.bits;
  options.offset_a = 0.02;
  options.drift_aps = 0.01;
  options.draws = draws;
  const auto pulses = support::even_pulses(10.0031e-3, 12.0047e-3, 33.3372e-3, 4);
  const support::BenchTrace bench = support::bench_trace(row, pulses, options);
  sim::valve::TraceReading reading;
  reading.supply_v = one.supply_v;
  reading.decay =
      options.slow_decay ? sim::rig::CurrentDecay::kSlow : sim::rig::CurrentDecay::kFast;
  const auto found = sim::valve::analyse_trace(bench.trace, reading);
  ASSERT_EQ(found.pulses.size(), pulses.size());
  for (std::size_t p = 0; p < pulses.size(); ++p) {
    const support::PulseTruth& truth = bench.truth[p];
    const sim::valve::TracePulse& pulse = found.pulses[p];
    four.motion.take(truth.first_motion_s - truth.on_s, pulse.first_motion_after_s);
    four.stop.take(truth.at_stop_s - truth.on_s, pulse.at_stop_after_s);
    four.left.take(truth.left_stop_s - truth.off_s, pulse.left_stop_after_s);
    four.seat.take(truth.seated_s - truth.off_s, pulse.seated_after_s);
  }
}

// 95 % within 20 us is the aim. Landings reach it; first motion and leaving the stop fall short on
// valves that the analysis was not set up on (73 to 98 %): what lines and seat do to the force
// while the plunger starts is not known. Their stated scatter must cover the error all the same.
void expect_near(const Tally& tally, const char* what, double near_ratio = 0.95) {
  tally.print(what);
  EXPECT_GT(tally.asked, 0) << what;
  EXPECT_GE(tally.near, near_ratio * tally.asked) << what;
  EXPECT_GE(tally.covered, 0.90 * tally.seen) << what;
}

Four all_cases(Seen seen) {
  Four four;
  std::uint64_t draws = 1;
  for (const Case& one : kCases)
    for (int round = 0; round < 2; ++round) run_case(one, seen, draws++, four);
  return four;
}

}  // namespace

TEST(PublishedValveTrace, AnotherIntegratorsEventsInTheCurrentOfFastDecay) {
  const Four four = all_cases(Seen::kCurrentFast);
  expect_near(four.motion, "fast: motion", 0.85);
  expect_near(four.stop, "fast: stop");
  expect_near(four.left, "fast: left stop", 0.75);
  EXPECT_EQ(four.seat.seen, 0);
}

TEST(PublishedValveTraceSlow, AnotherIntegratorsEventsInTheCurrentOfSlowDecay) {
  const Four four = all_cases(Seen::kCurrentSlow);
  expect_near(four.motion, "slow: motion", 0.70);
  expect_near(four.stop, "slow: stop");
  expect_near(four.left, "slow: left stop");
  expect_near(four.seat, "slow: seat");
}

TEST(PublishedValveTraceSlow, AnotherIntegratorsEventsWithAVoltageColumn) {
  const Four four = all_cases(Seen::kVoltage);
  expect_near(four.motion, "voltage: motion", 0.85);
  expect_near(four.stop, "voltage: stop");
  expect_near(four.left, "voltage: left stop", 0.90);
  expect_near(four.seat, "voltage: seat");
}
