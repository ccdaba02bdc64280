// Exact laws of coil and plunger, sampled as a probe would, and found again by the trace analysis;
// then traces of another integrator.
//
//   RL rise and clamp decay   exact solutions of L di/dt = u - R i
//   voice coil                R 4 ohm, L 2 mH, K 5 N/A, m 3 g, 12 V, no spring: eigenvalues
//                             -1000 +- 1779.51304i of L m s^2 + R m s + K^2 = 0; 0.5 mm after
//                             0.78009 ms (computed outside this program from the closed form)
//   method of lines           tests/support/method_of_lines.h: hose, valve, tube and outlet under a
//                             general integrator; its events are read off its own lift
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <functional>

#include "sim/measure/trace_pulses.h"
#include "tests/sim/trace_bench.h"
#include "tests/support/drive_row.h"
#include "tests/support/method_of_lines.h"

namespace {

constexpr double kResistance_ohm = 4.0, kInductance_h = 2e-3, kSupply_v = 12.0;

// Pulses of a current given after its command, sampled with noise and quantum.
sim::ValveTrace sampled(const std::function<double(double)>& current_a, int pulses, double on_s,
                        double noise_a, double quantum_a, double hz = 100e3) {
  constexpr double kPeriod_s = 40.0037e-3, kFirst_s = 10.0013e-3;
  sim::ValveTrace trace;
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

// A plunger that is held: rise, then the supply reversed until t = (L/R) ln(1 + I0 R/V).
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
    const auto found = sim::analyse_trace(sampled(held_a, 10, kOn_s, noise_a, 0.0), {});
    EXPECT_NEAR(found.resistance_ohm.value, kResistance_ohm, 4e-3);
    EXPECT_NEAR(found.inductance_h.value, kInductance_h,
                std::max(3.0 * found.inductance_h.sd, 1e-3 * kInductance_h));
    EXPECT_LT(found.inductance_h.sd, 5e-3 * kInductance_h);
    for (const sim::TracePulse& pulse : found.pulses) {
      EXPECT_EQ(pulse.faults, sim::kPulseMissing);  // it is held, and so it is said to be
      EXPECT_FALSE(pulse.at_stop_after_s.seen());
    }
  }
}

TEST(PublishedValveTrace, AWrongSupplyShowsInTheResistance) {
  // Read with 10 % more than the valve had: R and L come out 10 % larger, as u/R and u/L demand.
  sim::TraceReading reading;
  reading.supply_v = 1.1 * kSupply_v;
  const auto found = sim::analyse_trace(sampled(held_a, 10, kOn_s, 1e-3, 0.0), reading);
  EXPECT_NEAR(found.resistance_ohm.value, 1.1 * kResistance_ohm, 5e-3);
  EXPECT_NEAR(found.inductance_h.value, 1.1 * kInductance_h, 2e-3 * kInductance_h);
}

TEST(PublishedValveTrace, TheVoiceCoilLandsAfterItsClosedForm) {
  for (const double hz : {100e3, 1e6}) {
    const int pulses = hz > 2e5 ? 6 : 20;
    const auto found =
        sim::analyse_trace(sampled(voice_coil_a, pulses, kOn_s, 5e-3, 10.0 / 4096, hz), {});
    EXPECT_NEAR(found.linkage_vs.value, 5.0 * 0.5e-3, 0.05e-3);
    EXPECT_NEAR(found.inductance_h.value, kInductance_h, 0.01 * kInductance_h);
    int covered = 0;
    for (const sim::TracePulse& pulse : found.pulses) {
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

// What the other integrator's lift says, after the command's edges.
struct LinesTruth {
  double motion_s = NAN, stop_s = NAN, left_s = NAN, seat_s = NAN;
};

LinesTruth truth_of(const std::vector<support::LinesTrace>& steps, const support::OnOff& pulse,
                    double until_s, double travel_m) {
  LinesTruth truth;
  const double top_m = travel_m * (1.0 - 1e-9);
  for (std::size_t k = 1; k < steps.size() && steps[k].time_s < until_s; ++k) {
    const support::LinesTrace &a = steps[k - 1], &b = steps[k];
    if (b.time_s <= pulse.on_s) continue;
    if (b.time_s <= pulse.off_s) {
      if (std::isnan(truth.motion_s) && a.lift_m <= 0.0 && b.lift_m > 0.0)
        truth.motion_s = a.time_s - pulse.on_s;
      if (std::isnan(truth.stop_s) && a.lift_m < top_m && b.lift_m >= top_m)
        truth.stop_s = b.time_s - pulse.on_s;
    } else {
      if (std::isnan(truth.left_s) && a.lift_m >= top_m && b.lift_m < top_m)
        truth.left_s = a.time_s - pulse.off_s;
      if (std::isnan(truth.seat_s) && a.lift_m > 0.0 && b.lift_m <= 0.0)
        truth.seat_s = b.time_s - pulse.off_s;
    }
  }
  return truth;
}

// Current, and the terminals' voltage where asked for: driven, reversed, or the back-EMF.
sim::ValveTrace probe(const std::vector<support::LinesTrace>& steps,
                      const std::vector<support::OnOff>& pulses, double end_s, double supply_v,
                      double force_constant_npa, bool with_voltage, std::uint64_t key,
                      double noise_a) {
  sim::ValveTrace trace;
  trace_bench::Chance chance(key);
  const double phase_s = 10e-6 * chance.uniform();
  std::size_t at = 1;
  for (int k = 0; k * 10e-6 + phase_s < end_s; ++k) {
    const double t_s = k * 10e-6 + phase_s;
    while (at + 1 < steps.size() && steps[at].time_s < t_s) ++at;
    const support::LinesTrace &a = steps[at - 1], &b = steps[at];
    const double share = std::clamp((t_s - a.time_s) / (b.time_s - a.time_s), 0.0, 1.0);
    const double i_a = a.current_a + share * (b.current_a - a.current_a);
    const double speed_mps = (b.lift_m - a.lift_m) / (b.time_s - a.time_s);
    bool driven = false;
    for (const support::OnOff& pulse : pulses) driven |= t_s >= pulse.on_s && t_s < pulse.off_s;
    const double volt = driven ? supply_v : i_a > 1e-9 ? -supply_v : force_constant_npa * speed_mps;
    const double seen_a = i_a + 0.02 + noise_a * chance.normal();
    trace.time_s.push_back(t_s);
    trace.command_ratio.push_back(driven ? 5.0f : 0.0f);
    trace.current_a.push_back(static_cast<float>(std::round(seen_a * 409.6) / 409.6));
    if (with_voltage) trace.voltage_v.push_back(static_cast<float>(volt + 0.02 * chance.normal()));
  }
  return trace;
}

struct Tally {
  int asked = 0, seen = 0, near = 0, covered = 0;
  double worst_s = 0.0, sum_s = 0.0;

  void take(double truth_s, const sim::Found& found) {
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
  double supply_v, pressure_pa, preload_n, mass_kg, travel_m, inductance_h;
};

void run_case(const Case& one, Four& fast, Four& volt) {
  model::RowUnitParams row = support::base_row();
  row.valve.plunger.preload_n = one.preload_n;
  row.valve.plunger.mass_kg = one.mass_kg;
  row.valve.plunger.travel_m = one.travel_m;
  row.valve.coil.inductance_h = one.inductance_h;
  const std::vector<support::OnOff> pulses = {{8.0031e-3, 20.0078e-3}, {41.3367e-3, 53.3412e-3}};
  constexpr double kEnd_s = 70e-3;
  const auto made = support::run_method_of_lines(row, one.pressure_pa, one.supply_v, pulses, kEnd_s,
                                                 {.tolerance_ratio = 1e-5}, true);
  for (std::uint64_t key = 1; key <= 6; ++key) {
    const double noise_a = key <= 3 ? 5e-3 : 2e-3;
    for (const bool with_voltage : {false, true}) {
      const auto trace = probe(made.trace, pulses, kEnd_s, one.supply_v,
                               row.valve.coil.force_constant_npa, with_voltage, key, noise_a);
      sim::TraceReading reading;
      reading.supply_v = one.supply_v;
      const auto found = sim::analyse_trace(trace, reading);
      ASSERT_EQ(found.pulses.size(), 2u);
      for (std::size_t p = 0; p < 2; ++p) {
        const double until_s = p == 0 ? pulses[1].on_s : kEnd_s;
        const LinesTruth truth = truth_of(made.trace, pulses[p], until_s, one.travel_m);
        Four& four = with_voltage ? volt : fast;
        four.motion.take(truth.motion_s, found.pulses[p].first_motion_after_s);
        four.stop.take(truth.stop_s, found.pulses[p].at_stop_after_s);
        four.left.take(truth.left_s, found.pulses[p].left_stop_after_s);
        if (with_voltage) four.seat.take(truth.seat_s, found.pulses[p].seated_after_s);
      }
    }
  }
}

void expect_near(const Tally& tally, const char* what) {
  tally.print(what);
  EXPECT_GT(tally.asked, 0) << what;
  EXPECT_GE(tally.near, 0.95 * tally.asked) << what;
  EXPECT_GE(tally.covered, 0.90 * tally.seen) << what;
}

}  // namespace

TEST(PublishedValveTrace, AnotherIntegratorsEventsAreFound) {
  Four fast, volt;
  for (const Case& one :
       {Case{12.0, 3e5, 4.0, 3e-3, 0.6e-3, 2e-3}, Case{12.0, 2e5, 5.0, 3e-3, 0.5e-3, 2e-3},
        Case{10.0, 3e5, 4.0, 3e-3, 0.6e-3, 2e-3}, Case{14.0, 4e5, 4.0, 4e-3, 0.6e-3, 2.5e-3},
        Case{13.0, 2.5e5, 6.0, 2.5e-3, 0.7e-3, 1.5e-3}})
    run_case(one, fast, volt);
  expect_near(fast.motion, "current: motion");
  expect_near(fast.stop, "current: stop");
  expect_near(fast.left, "current: left stop");
  expect_near(volt.motion, "with voltage: motion");
  expect_near(volt.stop, "with voltage: stop");
  expect_near(volt.left, "with voltage: left stop");
  expect_near(volt.seat, "with voltage: seat");
}
