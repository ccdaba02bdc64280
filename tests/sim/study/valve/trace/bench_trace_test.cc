// The bench trace against what is known without it: Coulomb's law, the coil's own equation, slow
// decay later than fast, the spread of the noise that was requested.
#include "tests/support/bench_trace.h"

#include <gtest/gtest.h>

#include <chrono>
#include <cmath>
#include <cstdio>

namespace support {
namespace {

model::RowUnitParams short_row() {
  model::RowUnitParams row;
  row.hose = {.length_m = 0.2, .bore_m = 8e-3, .wave_speed_mps = 500.0};
  row.tube = {.length_m = 0.3, .bore_m = 8e-3, .wave_speed_mps = 400.0};
  row.outlet.bore_m = 1.6e-3;
  row.valve.plunger.travel_m = 0.8e-3;
  row.valve.seat.diameter_m = 4e-3;
  return row;
}

// The force that lifts a plunger at rest: preload and pressure on the seat, plus friction. i = (F0
// + p A + Fc)/Kf, worked from the definitions.
TEST(BenchTrace, LiftsOffAtTheCurrentOfTheForces) {
  for (const double friction_n : {0.0, 0.5}) {
    model::RowUnitParams row = short_row();
    row.valve.plunger.coulomb_friction_n = friction_n;
    const BenchTrace bench = bench_trace(row, even_pulses(1e-3, 8e-3, 40e-3, 1), {});
    const double area_m2 = shared::kPi_ratio * 4e-3 * 4e-3 / 4.0;
    const double lift_off_a = (4.0 + 3e5 * area_m2 + friction_n) / 5.0;
    // Rise of R L: t = -L/R ln(1 - i R/U)
    const double wanted_s = -2e-3 / 4.0 * std::log(1.0 - lift_off_a * 4.0 / 12.0);
    EXPECT_NEAR(bench.truth[0].first_motion_s - 1e-3, wanted_s, 1e-6);
    EXPECT_GT(bench.truth[0].at_stop_s, bench.truth[0].first_motion_s);
    EXPECT_GT(bench.truth[0].seated_s, bench.truth[0].left_stop_s);
  }
}

// u = R i + L di/dt + Kf v, with di/dt from the samples.
TEST(BenchTrace, TerminalVoltageIsTheCoilsEquation) {
  for (const bool slow : {false, true}) {
    const BenchTrace bench =
        bench_trace(short_row(), even_pulses(1e-3, 8e-3, 40e-3, 1), {.slow_decay = slow});
    const auto& at = bench.run.trace;
    int compared = 0;
    double blocked_v = 0.0;
    for (std::size_t k = 1; k + 1 < at.size(); ++k) {
      const double rate_aps = (at[k + 1].current_a - at[k - 1].current_a) / 20e-6;
      const double kink_aps =
          std::abs(at[k + 1].current_a - 2.0 * at[k].current_a + at[k - 1].current_a) / 10e-6;
      if (kink_aps > 50.0) continue;
      EXPECT_NEAR(at[k].coil_v, 4.0 * at[k].current_a + 2e-3 * rate_aps + 5.0 * at[k].speed_mps,
                  0.1);
      ++compared;
      if (at[k].current_a == 0.0) blocked_v = std::min(blocked_v, at[k].coil_v);
    }
    EXPECT_GT(compared, 2000);
    // Fast: the plunger falls while the diode blocks.
    if (!slow) {
      EXPECT_LT(blocked_v, -0.5);
    }
  }
}

TEST(BenchTrace, SlowDecayAndFrictionCloseLater) {
  const auto pulses = even_pulses(1e-3, 8e-3, 40e-3, 1);
  const double fast_s = bench_trace(short_row(), pulses, {}).truth[0].seated_s;
  const double slow_s = bench_trace(short_row(), pulses, {.slow_decay = true}).truth[0].seated_s;
  model::RowUnitParams rough = short_row();
  rough.valve.plunger.coulomb_friction_n = 0.5;
  const double rough_s = bench_trace(rough, pulses, {}).truth[0].seated_s;
  EXPECT_GT(slow_s, fast_s + 0.2e-3);
  EXPECT_GT(rough_s, fast_s + 0.01e-3);
}

// Two friction levels and no impact: energy lost is Fc times the way. A plunger that friction
// exceeds every force holds still.
TEST(BenchTrace, FrictionBeyondEveryForceHolds) {
  model::RowUnitParams row = short_row();
  row.valve.plunger.coulomb_friction_n = 20.0;
  const BenchTrace bench = bench_trace(row, even_pulses(1e-3, 8e-3, 40e-3, 1), {});
  EXPECT_FALSE(bench.truth[0].first_motion_s == bench.truth[0].first_motion_s);
  for (const LinesTrace& at : bench.run.trace) ASSERT_EQ(at.lift_m, 0.0);
}

TEST(BenchTrace, NoiseAndRoundingAreAsAsked) {
  BenchOptions options{.current_noise_a = 8e-3, .offset_a = 0.02, .drift_aps = 0.5};
  const auto pulses = even_pulses(1e-3, 8e-3, 40e-3, 2);
  const auto begun = std::chrono::steady_clock::now();
  const BenchTrace bench = bench_trace(short_row(), pulses, options);
  std::printf(
      "two pulses of 60 ms take %.0f ms\n",
      std::chrono::duration<double>(std::chrono::steady_clock::now() - begun).count() * 1e3);
  double sum = 0.0, squares = 0.0;
  const auto n = static_cast<double>(bench.trace.size());
  for (std::size_t k = 0; k < bench.trace.size(); ++k) {
    const double left_a = static_cast<double>(bench.trace.current_a[k]) -
                          bench.run.trace[k].current_a - 0.02 - 0.5 * bench.trace.time_s[k];
    sum += left_a;
    squares += left_a * left_a;
  }
  EXPECT_NEAR(sum / n, 0.0, 4.0 * 8e-3 / std::sqrt(n));
  EXPECT_NEAR(std::sqrt(squares / n), 8e-3, 4.0 * 8e-3 / std::sqrt(2.0 * n));
  options.bits = 12;
  const double quantum_a = 10.0 / 2048.0;
  for (const float current_a : bench_trace(short_row(), pulses, options).trace.current_a) {
    const double steps = static_cast<double>(current_a) / quantum_a;
    ASSERT_NEAR(steps, std::round(steps), 1e-3);
  }
}

}  // namespace
}  // namespace support
