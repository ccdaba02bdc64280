// The reluctance law against closed forms that any textbook of electromechanics derives: force from
// the derivative of the coenergy, Froehlich's curve, and the pull of a gap, B^2 A / (2 mu0).
#include "model/valve/reluctance.h"

#include <gtest/gtest.h>

#include <cmath>

#include "shared/units.h"

namespace model {
namespace {

constexpr double kMu0_hpm = 4e-7 * shared::kPi_ratio;  // CODATA 2018: 1.25663706212e-6, 5e-10 above

/// 800 turns on a pole of 5 mm diameter, a gap of 1.2 mm at the seat; half of the iron's saturation
/// takes 0.4 A. Invented figures.
Coil coil_of(double leakage_h, double saturation_vs, double remanence_a = 0.0) {
  constexpr double kTurns_ratio = 800.0, kGap_m = 1.2e-3;
  const double pole_m2 = shared::kPi_ratio / 4.0 * 25e-6;
  const double gap_h = kMu0_hpm * pole_m2 * kTurns_ratio * kTurns_ratio / kGap_m;
  Coil coil;
  coil.force_law = ForceLaw::kReluctance;
  coil.reluctance = {.gap_m = kGap_m,
                     .leakage_h = leakage_h,
                     .saturation_vs = saturation_vs,
                     .half_current_a = saturation_vs > 0.0 ? 0.4 : 0.0,
                     .remanence_a = remanence_a};
  const double iron_per_h = saturation_vs > 0.0 ? 0.4 / saturation_vs : 0.0;
  coil.inductance_h = leakage_h + 1.0 / (1.0 / gap_h + iron_per_h);
  return coil;
}

// A worked number: N i = 800 A across 1.2 - 0.4 = 0.8 mm of gap alone give B = mu0 N i / gap =
// 1.2566 T, and B^2 A/(2 mu0) = 12.337 N on a pole of 5 mm; N B A = 19.739 mV s.
TEST(Reluctance, ThePullOfAGapIsThatOfItsFieldsPressure) {
  const auto plan = make_reluctance_plan(coil_of(0.0, 0.0));
  const double linkage_vs = linkage_of_current_vs(plan, 1.0, 0.4e-3);
  EXPECT_NEAR(linkage_vs, 19.739e-3, 1e-6);
  EXPECT_NEAR(gap_force_n(plan, linkage_vs), 12.337, 1e-3);
}

// Froehlich: B = Bs H/(H + Hh), so the iron alone holds half of the saturation linkage at ih, three
// quarters at 3 ih; the gap's share adds y times 1 over its inductance.
TEST(Reluctance, TheIronFollowsFroehlichsCurve) {
  const Coil coil = coil_of(1e-4, 20e-3);
  const auto plan = make_reluctance_plan(coil);
  for (const double share : {0.5, 0.75, -0.75}) {
    const double y_vs = share * 20e-3;
    const double iron_a = 0.4 * share / (1.0 - std::abs(share));
    const double current_a = iron_a + plan.per_henry_metre_aptm * (plan.gap_m - 3e-4) * y_vs;
    const GapLinkage<double> gap = gap_linkage(plan, y_vs + 1e-4 * current_a, 3e-4);
    EXPECT_NEAR(gap.linkage_vs, y_vs, 1e-12);
    EXPECT_NEAR(gap.current_a, current_a, 1e-9);
    EXPECT_NEAR(linkage_of_current_vs(plan, current_a, 3e-4), y_vs + 1e-4 * current_a, 1e-12);
  }
  const double small_vs = 1e-9;
  EXPECT_NEAR(gap_linkage(plan, small_vs, 0.0).slope_a_pvs, 1.0 / coil.inductance_h, 1e-3);
}

// i = dW/dy and F = -dW/dx at constant linkage, by central differences of the stored energy.
TEST(Reluctance, CurrentAndForceAreDerivativesOfOneEnergy) {
  for (const double saturation_vs : {0.0, 20e-3})
    for (const double remanence_a : {0.0, 0.02}) {
      const auto plan = make_reluctance_plan(coil_of(2e-4, saturation_vs, remanence_a));
      for (const double linkage_vs : {-6e-3, 2e-3, 9e-3, 16e-3})
        for (const double lift_m : {0.0, 2.5e-4, 6e-4}) {
          const GapLinkage<double> gap = gap_linkage(plan, linkage_vs, lift_m);
          const double dy_vs = 1e-7, dx_m = 1e-8;
          EXPECT_NEAR((stored_energy_j(plan, linkage_vs + dy_vs, lift_m) -
                       stored_energy_j(plan, linkage_vs - dy_vs, lift_m)) /
                          (2.0 * dy_vs),
                      gap.current_a, 1e-6);
          EXPECT_NEAR(-(stored_energy_j(plan, linkage_vs, lift_m + dx_m) -
                        stored_energy_j(plan, linkage_vs, lift_m - dx_m)) /
                          (2.0 * dx_m),
                      gap_force_n(plan, gap.linkage_vs), 1e-4);
          const double slope_a_pvs = (gap_linkage(plan, linkage_vs + dy_vs, lift_m).current_a -
                                      gap_linkage(plan, linkage_vs - dy_vs, lift_m).current_a) /
                                     (2.0 * dy_vs);
          EXPECT_NEAR(slope_a_pvs, gap.slope_a_pvs, 1e-5 * gap.slope_a_pvs);
        }
    }
}

TEST(Reluctance, RemanenceLeavesAForceWithoutCurrent) {
  const auto plan = make_reluctance_plan(coil_of(1e-4, 20e-3, 0.05));
  const double at_rest_vs = linkage_of_current_vs(plan, 0.0, 0.0);
  EXPECT_NEAR(gap_linkage(plan, at_rest_vs, 0.0).current_a, 0.0, 1e-12);
  EXPECT_GT(gap_force_n(plan, at_rest_vs), 0.0);
}

}  // namespace
}  // namespace model
