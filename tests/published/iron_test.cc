// Iron and its eddy currents, as the reluctance solenoid has them, beside what others published.
//
//   N. Takahashi, T. Nakata, H. Morishige, COMPEL 14 (2/3), 1995, 57-75, DOI 10.1108/eb010138
//     (TEAM problem 20, measured): a steel pole of 98.5 mm; 1000, 3000, 4500, 5000 ampere-turns
//     give 0.72, 1.75, 2.01, 2.05 T mean in the pole, 0.36, 0.84, 0.99, 1.03 T in the gap, and 8.1,
//     54.4, 75.0, 80.1 N. Its B-H table in T: A/m. All read in a collection of these problems.
//   Slab under a step of field on both faces, mean of its field over the face value:
//     1 - (8/pi^2) sum over odd n of exp(-n^2 t/t1)/n^2, t1 = mu sigma d^2/pi^2 (H. H. Woodson,
//     J. R. Melcher, Electromechanical Dynamics, 1968, chapter 7; from memory, by separation of
//     variables)
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>

#include "model/valve/actuator.h"
#include "model/valve/solenoid.h"
#include "shared/units.h"

namespace model {
namespace {

struct Point {
  double b_t, h_apm;  // tidy: T, A/m
};
constexpr std::array kSteel = {
    Point{0.5, 285},   Point{0.7, 355},   Point{0.8, 405},   Point{1.0, 555},   Point{1.2, 836},
    Point{1.4, 1420},  Point{1.5, 2130},  Point{1.6, 3480},  Point{1.7, 5950},  Point{1.8, 10100},
    Point{1.9, 15900}, Point{2.0, 26300}, Point{2.1, 42700}, Point{2.2, 84300}, Point{2.3, 135000}};

/// Froehlich's curve through two of the published points, 1.5 and 2.0 T.
struct Froehlich {
  double saturation_t, half_apm;  // tidy: T, A/m
};
Froehlich curve_of_two_points() {
  const Point a{1.5, 2130}, b{2.0, 26300};
  const double half = (b.b_t - a.b_t) / (a.b_t / a.h_apm - b.b_t / b.h_apm);  // tidy: A/m
  return {a.b_t * (a.h_apm + half) / a.h_apm, half};
}

/// A pole of one turn, 25 mm x 10 mm x 98.5 mm, in air paths of `air_at_pt` ampere-turns per T.
Coil pole(double air_at_pt) {  // tidy: A/T
  constexpr double kArea_m2 = 25e-3 * 10e-3, kPole_m = 98.5e-3;
  const Froehlich curve = curve_of_two_points();
  Coil coil;
  coil.force_law = ForceLaw::kReluctance;
  coil.reluctance.gap_m = 1e-3;  // of no influence: the plunger stays at its seat
  coil.reluctance.saturation_vs = curve.saturation_t * kArea_m2;
  coil.reluctance.half_current_a = curve.half_apm * kPole_m;
  coil.inductance_h =
      kArea_m2 / (air_at_pt + curve.half_apm * kPole_m / curve.saturation_t);  // small currents
  return coil;
}

double pole_t(const Coil& coil, double current_a) {  // tidy: T
  return gap_linkage_of_current_vs(make_reluctance_plan(coil), current_a, 0.0) / (25e-3 * 10e-3);
}

/// The air paths are known from the unsaturated row alone: 0.72 T at 1000 ampere-turns.
Coil pole_of_first_row() {
  const Froehlich curve = curve_of_two_points();
  const double iron_a = 98.5e-3 * curve.half_apm * 0.72 / (curve.saturation_t - 0.72);
  return pole((1000.0 - iron_a) / 0.72);
}

TEST(PublishedIron, TwoPointsOfTheSteelPredictThePolesSaturation) {
  const Coil coil = pole_of_first_row();
  EXPECT_NEAR(pole_t(coil, 1000.0), 0.72, 1e-9);
  for (const auto& [current_a, measured_t] :  // tidy: T
       {std::pair{3000.0, 1.75}, {4500.0, 2.01}, {5000.0, 2.05}}) {
    const double ratio = pole_t(coil, current_a) / measured_t;
    std::printf("%.0f ampere-turns: pole flux %+.1f %%\n", current_a, 100.0 * (ratio - 1.0));
    EXPECT_NEAR(ratio, 1.0, 0.05) << current_a;
  }
  // Without saturation 5000 ampere-turns would give more than 3.5 T.
  Coil linear = coil;
  linear.reluctance.saturation_vs = linear.reluctance.half_current_a = 0.0;
  EXPECT_GT(pole_t(linear, 5000.0), 3.5);
}

// Pull goes with the square of the field of the gap: 80.1/54.4 N beside (1.03/0.84)^2. The model
// takes pole and gap for one, so that its ratio follows the pole's field and is too small.
TEST(PublishedIron, PullGoesWithTheSquareOfTheGapsField) {
  const double forces = 80.1 / 54.4;
  EXPECT_NEAR(forces / std::pow(1.03 / 0.84, 2.0), 1.0, 0.03);
  const Coil coil = pole_of_first_row();
  const double modelled =
      pull_of_current_n(coil, 5000.0, 0.0) / pull_of_current_n(coil, 3000.0, 0.0);
  std::printf("pull at 5000 over 3000 ampere-turns: %+.0f %%\n", 100.0 * (modelled / forces - 1.0));
  EXPECT_LT(modelled, forces);
  EXPECT_NEAR(modelled / forces, 1.0, 0.20);
  EXPECT_GT(modelled, 1.0);
}

// What one curve of two parameters can and cannot: from 1.4 to 2.1 T within 7 %; below, steel's
// bend at small fields and, above, what air adds are missing.
TEST(PublishedIron, FroehlichsCurveHoldsFromTheKneeToSaturation) {
  const Froehlich curve = curve_of_two_points();
  const auto miss = [&](const Point& point) {
    return curve.saturation_t * point.h_apm / (point.h_apm + curve.half_apm) / point.b_t - 1.0;
  };
  double worst_below = 0.0;
  for (const Point& point : kSteel) {
    std::printf("%.1f T: %+.1f %%\n", point.b_t, 100.0 * miss(point));
    if (point.b_t >= 1.4 && point.b_t <= 2.1) {
      EXPECT_LT(std::abs(miss(point)), 0.07) << point.b_t;
    }
    if (point.b_t < 1.4) worst_below = std::max(worst_below, std::abs(miss(point)));
  }
  EXPECT_GT(worst_below, 0.10);
  EXPECT_LT(worst_below, 0.16);
  EXPECT_LT(miss({2.3, 135000}), -0.10);
}

// The curve's two figures mean what their keys say: half of the saturation at half_current, and no
// more than the saturation at any current.
TEST(PublishedIron, HalfCurrentAndSaturationAreTheirNames) {
  Coil coil = pole(1e-6);  // iron alone
  const auto plan = make_reluctance_plan(coil);
  const double half_a = coil.reluctance.half_current_a, most_vs = coil.reluctance.saturation_vs;
  EXPECT_NEAR(gap_linkage_of_current_vs(plan, half_a, 0.0) / most_vs, 0.5, 1e-6);
  EXPECT_NEAR(gap_linkage_of_current_vs(plan, 9.0 * half_a, 0.0) / most_vs, 0.9, 1e-6);
  const Coil in_air = pole_of_first_row();
  EXPECT_LT(pull_of_current_n(in_air, 1e9, 0.0), largest_pull_n(in_air));
  EXPECT_NEAR(pull_of_current_n(in_air, 1e9, 0.0) / largest_pull_n(in_air), 1.0, 1e-3);
}

double slab_share(double time_ratio) {  // tidy: a ratio, time over t1
  double sum = 0.0;                     // tidy: a ratio
  for (int n = 1; n < 2000; n += 2) sum += std::exp(-n * n * time_ratio) / (n * n);
  return 1.0 - 8.0 / (shared::kPi_ratio * shared::kPi_ratio) * sum;
}

/// Linkage over its end, under a step of current, of the model's eddy turn; time over t1.
template <class Take>
void step_of_current(double constant_ratio, Take take) {
  constexpr double kFirst_s = 1e-3, kInductance_h = 10e-3;
  Coil coil{.resistance_ohm = 1e7, .inductance_h = kInductance_h};
  coil.force_law = ForceLaw::kReluctance;
  coil.reluctance.gap_m = 1e-3;
  coil.reluctance.eddy_ohm = kInductance_h / (constant_ratio * kFirst_s);
  const auto plan = make_actuator_plan(coil, 1e-6);
  double linkage_vs = 0.0, current_a = 0.0;
  for (int k = 1; k <= 5000; ++k) {
    const auto move = move_actuator(plan, linkage_vs, current_a, 0.0,
                                    {.supply_voltage_v = 1e7, .drive_ratio = 1.0});
    linkage_vs = move.linkage_vs;
    current_a = move.current_a;
    take(k * 1e-3, linkage_vs / kInductance_h);
  }
}

struct Miss {
  double lowest = 0.0, lowest_at = 0.0, highest = 0.0, half_at = 0.0;  // tidy: ratios
};
Miss miss_of_slab(double constant_ratio) {
  Miss miss;
  step_of_current(constant_ratio, [&](double time_ratio, double share) {
    const double by = share - slab_share(time_ratio);  // tidy: a ratio
    if (by < miss.lowest) {
      miss.lowest = by;
      miss.lowest_at = time_ratio;
    }
    miss.highest = std::max(miss.highest, by);
    if (share < 0.5) miss.half_at = time_ratio;
  });
  return miss;
}

// One time constant beside the series. With the last one, t1, the end is right, and half of the
// field comes 0.21 t1 late (ln 2 against 0.485); with that of the same mean delay, pi^2/12 t1,
// 0.085 t1. Lowest values from 1 - exp(-s/k) less the series, worked outside this program: -14.0 %
// at 0.188 t1 and -11.3 % at 0.116 t1. Where t1 is 1 ms, 0.21 t1 is 0.9 mm at 16 km/h and 0.085 t1
// is 0.4 mm.
TEST(PublishedIron, OneEddyConstantMissesTheEarlyFieldOfASlab) {
  constexpr double kHalf = 0.4854;  // slab_share is one half there
  EXPECT_NEAR(slab_share(kHalf), 0.5, 1e-4);
  const double mean = shared::kPi_ratio * shared::kPi_ratio / 12.0;
  const Miss last = miss_of_slab(1.0), same = miss_of_slab(mean);
  std::printf("last constant: %.1f %% at %.3f t1, half %.3f t1 late\n", 100.0 * last.lowest,
              last.lowest_at, last.half_at - kHalf);
  std::printf("same mean delay: %.1f %% at %.3f t1, then up to %+.1f %%, half %.3f t1 late\n",
              100.0 * same.lowest, same.lowest_at, 100.0 * same.highest, same.half_at - kHalf);
  EXPECT_NEAR(last.lowest, -0.1401, 1e-3);
  EXPECT_NEAR(last.lowest_at, 0.188, 0.01);
  EXPECT_LT(last.highest, 1e-4);
  EXPECT_NEAR(last.half_at, std::log(2.0), 2e-3);
  EXPECT_NEAR(same.lowest, -0.1131, 1e-3);
  EXPECT_NEAR(same.lowest_at, 0.116, 0.01);
  EXPECT_NEAR(same.highest, 0.0220, 1e-3);
  EXPECT_NEAR(same.half_at - kHalf, 0.085, 2e-3);
}

}  // namespace
}  // namespace model
