#include "model/valve/coil.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace model {
namespace {

const Coil kCoil = {.resistance_ohm = 4.0, .inductance_h = 2e-3, .force_constant_npa = 5.0};

RowStepInput bridge(double drive_ratio, double fast_ratio, double limit_a = 0.0) {
  return {.supply_voltage_v = 12.0,
          .current_limit_a = limit_a,
          .drive_ratio = drive_ratio,
          .fast_decay_ratio = fast_ratio};
}

double run_a(double current_a, double time_s, double step_s, const RowStepInput& in,
             double speed_mps = 0.0) {
  const auto plan = make_coil_plan(kCoil, step_s);
  for (long long i = 0; i < std::llround(time_s / step_s); ++i)
    current_a = coil_current_a(plan, current_a, speed_mps, in);
  return current_a;
}

// i = (u/R)(1 - e^{-R t/L}): after one time constant of 0.5 ms 3 A * 0.6321205588.
TEST(Coil, RisesExponentiallyWhateverTheStep) {
  for (const double step_s : {1e-6, 1e-5, 5e-4})
    EXPECT_NEAR(run_a(0.0, 5e-4, step_s, bridge(1.0, 0.0)), 3.0 * 0.6321205588, 1e-9) << step_s;
}

TEST(Coil, MovingPlungerHoldsTheCurrentBack) {
  // Steady: (12 - 5 * 0.4) / 4 = 2.5 A.
  EXPECT_NEAR(run_a(0.0, 20e-3, 1e-5, bridge(1.0, 0.0), 0.4), 2.5, 1e-9);
}

TEST(Coil, FastDecayEndsAtZeroAndStays) {
  const auto plan = make_coil_plan(kCoil, 1e-5);
  double current_a = 3.0;
  for (int i = 0; i < 200; ++i) {
    const double next_a = coil_current_a(plan, current_a, 0.0, bridge(0.0, 1.0));
    EXPECT_LE(next_a, current_a);
    EXPECT_GE(next_a, 0.0);
    current_a = next_a;
  }
  EXPECT_EQ(current_a, 0.0);
}

// From 3 A against 12 V: i = 6 e^{-t/0.5 ms} - 3, zero at 0.5 ms * ln 2 = 0.3466 ms.
TEST(Coil, FastDecayIsFasterThanSlow) {
  EXPECT_NEAR(run_a(3.0, 0.34e-3, 1e-5, bridge(0.0, 1.0)), 6.0 * std::exp(-0.68) - 3.0, 1e-9);
  EXPECT_EQ(run_a(3.0, 0.35e-3, 1e-5, bridge(0.0, 1.0)), 0.0);
  EXPECT_NEAR(run_a(3.0, 0.35e-3, 1e-5, bridge(0.0, 0.0)), 3.0 * std::exp(-0.7), 1e-9);
}

TEST(Coil, IdealLimitHoldsAndALowerOneIsReachedByFreewheeling) {
  EXPECT_EQ(run_a(0.0, 2e-3, 1e-5, bridge(1.0, 0.0, 1.5)), 1.5);
  const double after_a = run_a(3.0, 1e-4, 1e-5, bridge(1.0, 0.0, 1.5));
  EXPECT_NEAR(after_a, 3.0 * std::exp(-0.2), 1e-9);
}

TEST(Coil, ShareOfAStepIsWorthItsTime) {
  // A step driven for 40 % acts as if the command had come 6 us later, to 0.5 % of the step's rise.
  const auto plan = make_coil_plan(kCoil, 1e-5);
  const auto whole = make_coil_plan(kCoil, 4e-6);
  EXPECT_NEAR(coil_current_a(plan, 0.0, 0.0, bridge(0.4, 0.6)),
              coil_current_a(whole, 0.0, 0.0, bridge(1.0, 0.0)), 5e-4);
}

TEST(Coil, ReverseDrivesBelowZero) {
  RowStepInput in{.supply_voltage_v = 12.0, .reverse_ratio = 1.0};
  EXPECT_NEAR(run_a(0.0, 20e-3, 1e-5, in), -3.0, 1e-9);
  // Released, the current runs out towards zero and not through it.
  EXPECT_LE(run_a(-3.0, 1e-3, 1e-5, bridge(0.0, 0.0)), 0.0);
  EXPECT_EQ(run_a(-3.0, 1e-3, 1e-5, bridge(0.0, 1.0)), 0.0);
}

// From 3 A against 36 V: zero at 0.5 ms * ln(1 + 12/36) = 0.1438 ms. Through a diode of 0.7 V: zero
// at 0.5 ms * ln(1 + 12/0.7) = 1.44914 ms. Worked by hand from the closed form.
TEST(Coil, AClampIsFasterAndADiodeEndsWhatZeroVoltsWouldDrawOut) {
  const auto zero_s = [](Coil coil, const RowStepInput& in) {
    const auto plan = make_coil_plan(coil, 1e-7);
    double current_a = 3.0;
    int steps = 0;
    while (current_a > 0.0 && steps < 100'000) {
      current_a = coil_current_a(plan, current_a, 0.0, in);
      ++steps;
    }
    return steps * 1e-7;
  };
  Coil clamped = kCoil, freewheeling = kCoil;
  clamped.clamp_v = 36.0;
  freewheeling.diode_v = 0.7;
  EXPECT_NEAR(zero_s(clamped, bridge(0.0, 1.0)), 0.14384e-3, 2e-7);
  EXPECT_NEAR(zero_s(freewheeling, bridge(0.0, 0.0)), 1.44914e-3, 2e-7);
}

TEST(Coil, NotANumberIsNotHidden) {
  RowStepInput in = bridge(1.0, 0.0);
  in.supply_voltage_v = std::numeric_limits<double>::quiet_NaN();
  EXPECT_TRUE(std::isnan(run_a(0.0, 1e-5, 1e-5, in)));
}

}  // namespace
}  // namespace model
