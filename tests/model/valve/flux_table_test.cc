// A measured table of linkage: numbers by hand on a small one, and what holds for any: current and
// force are derivatives of one energy, the linkage rises with the current between lifts too.
#include "model/valve/flux_table.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/valve/solenoid.h"
#include "tests/support/free_valve.h"

namespace model {
namespace {

/// mWb at 0 and 1 mm over 0, 1 and 2 A.
FluxTablePlan small_table() {
  return make_flux_table_plan({.lift_m = {0.0, 1e-3},
                               .current_a = {0.0, 1.0, 2.0},
                               .linkage_vs = {0.0, 2e-3, 3e-3, 0.0, 4e-3, 5e-3}});
}

Coil iron_coil() {
  Coil coil{.inductance_h = 8e-3};
  coil.force_law = ForceLaw::kReluctance;
  coil.reluctance = {
      .gap_m = 1.3e-3, .leakage_h = 1.2e-3, .saturation_vs = 18e-3, .half_current_a = 0.3};
  return coil;
}

// At 0.5 mm the linkages are 0, 3 and 4 mWb. Coenergy: 1 A 3 mWb/2 = 1.5 mJ, and at 2 A 1.5 + 3.5 =
// 5 mJ. At 2 A it is 1 + 2.5 = 3.5 mJ at the seat and 2 + 4.5 = 6.5 mJ at 1 mm: 3 N; at 1 A 1 N.
TEST(FluxTable, NumbersByHandOnASmallTable) {
  const FluxTablePlan plan = small_table();
  EXPECT_NEAR(flux_of_current(plan, 1.0, 0.5e-3).linkage_vs, 3e-3, 1e-15);
  EXPECT_NEAR(flux_of_current(plan, 1.0, 0.5e-3).coenergy_j, 1.5e-3, 1e-15);
  EXPECT_NEAR(flux_of_current(plan, 2.0, 0.5e-3).coenergy_j, 5e-3, 1e-15);
  EXPECT_NEAR(flux_of_current(plan, 1.0, 0.5e-3).force_n, 1.0, 1e-12);
  EXPECT_NEAR(flux_of_current(plan, 2.0, 0.2e-3).force_n, 3.0, 1e-12);
  EXPECT_NEAR(flux_of_linkage(plan, 3.5e-3, 0.5e-3).current_a, 1.5, 1e-12);
  EXPECT_NEAR(flux_of_linkage(plan, 1.5e-3, 0.5e-3).current_a, 0.5, 1e-12);
}

// Beyond the last current the last interval's slope goes on: 1 mWb/A at 0.5 mm, so 5 mWb at 3 A.
TEST(FluxTable, BeyondTheLastCurrentItGoesOnStraight) {
  EXPECT_NEAR(flux_of_linkage(small_table(), 5e-3, 0.5e-3).current_a, 3.0, 1e-12);
  EXPECT_NEAR(flux_of_current(small_table(), 3.0, 0.5e-3).linkage_vs, 5e-3, 1e-15);
}

TEST(FluxTable, ANegativeCurrentHasTheOppositeLinkageAndTheSamePull) {
  const auto plus = flux_of_current(small_table(), 1.4, 0.3e-3);
  const auto minus = flux_of_linkage(small_table(), -plus.linkage_vs, 0.3e-3);
  EXPECT_NEAR(minus.current_a, -1.4, 1e-12);
  EXPECT_NEAR(minus.force_n, plus.force_n, 1e-12);
}

// By central differences away from the kinks at the table's own currents and lifts.
TEST(FluxTable, CurrentForceAndTheirSlopesAreDerivativesOfOneEnergy) {
  const FluxTablePlan plan =
      make_flux_table_plan(support::sampled_table(iron_coil(), 0.6e-3, 5, 3.0, 9));
  const double dy_vs = 1e-8, dx_m = 1e-8;
  for (const double current_a : {0.2, 0.9, 1.7, 2.8, 3.6})
    for (const double lift_m : {0.05e-3, 0.2e-3, 0.44e-3, 0.58e-3}) {
      const auto at = flux_of_current(plan, current_a, lift_m);
      const double y_vs = at.linkage_vs;
      const auto energy_j = [&](double linkage_vs, double x_m) {
        return flux_energy_j(plan, linkage_vs, x_m);
      };
      EXPECT_NEAR((energy_j(y_vs + dy_vs, lift_m) - energy_j(y_vs - dy_vs, lift_m)) / (2.0 * dy_vs),
                  current_a, 1e-6);
      EXPECT_NEAR(-(energy_j(y_vs, lift_m + dx_m) - energy_j(y_vs, lift_m - dx_m)) / (2.0 * dx_m),
                  at.force_n, 1e-5 * at.force_n + 1e-5);
      const auto by_lift = [&](double x_m) { return flux_of_linkage(plan, y_vs, x_m).current_a; };
      EXPECT_NEAR(-(by_lift(lift_m + dx_m) - by_lift(lift_m - dx_m)) / (2.0 * dx_m), at.by_lift_apm,
                  1e-5 * at.by_lift_apm);
      const auto pull = [&](double x_m) { return flux_of_current(plan, current_a, x_m).force_n; };
      EXPECT_NEAR((pull(lift_m + dx_m) - pull(lift_m - dx_m)) / (2.0 * dx_m), at.growth_npm,
                  1e-4 * std::abs(at.growth_npm) + 1e-2);
    }
}

// Increments of 1, 0.01 and 1 mWb over three lifts: a parabola through them would fall below zero.
TEST(FluxTable, TheLinkageRisesWithTheCurrentBetweenLiftsToo) {
  const FluxTablePlan plan = make_flux_table_plan(
      {.lift_m = {0.0, 0.3e-3, 0.6e-3},
       .current_a = {0.0, 1.0, 2.0},
       .linkage_vs = {0.0, 1e-3, 2e-3, 0.0, 2e-3, 2.01e-3, 0.0, 2.5e-3, 3.5e-3}});
  for (int k = 0; k <= 600; ++k) {
    const double lift_m = 1e-6 * k;
    EXPECT_GT(flux_of_current(plan, 2.0, lift_m).linkage_vs,
              flux_of_current(plan, 1.0, lift_m).linkage_vs + 1e-7);
    EXPECT_NEAR(
        flux_of_linkage(plan, flux_of_current(plan, 1.6, lift_m).linkage_vs, lift_m).current_a, 1.6,
        1e-9);
  }
}

// Samples of a law: the pull of the table comes to the law's own as the samples grow denser.
TEST(FluxTable, TheTableOfALawPullsAsTheLaw) {
  const Coil iron = iron_coil();
  const auto worst_ratio = [&](int lifts, int currents) {
    const FluxTablePlan plan =
        make_flux_table_plan(support::sampled_table(iron, 0.6e-3, lifts, 3.0, currents));
    double worst = 0.0;  // tidy: a ratio
    for (const double lift_m : {0.03e-3, 0.31e-3, 0.57e-3})
      for (const double current_a : {0.4, 1.1, 2.6}) {
        const double law_n = pull_of_current_n(iron, current_a, lift_m);
        worst = std::max(
            worst, std::abs(flux_of_current(plan, current_a, lift_m).force_n - law_n) / law_n);
      }
    return worst;
  };
  const double coarse = worst_ratio(4, 16), fine = worst_ratio(13, 61);
  EXPECT_LT(coarse, 0.08);
  EXPECT_LT(fine, 0.005);
}

// dF/dx at constant current by central differences, for each law; the linear law pulls alike at
// every lift.
TEST(FluxTable, ThePullsGrowthIsItsDerivativeAtConstantCurrent) {
  Coil table = iron_coil();
  table.force_law = ForceLaw::kTable;
  table.table = support::sampled_table(iron_coil(), 0.6e-3, 5, 3.0, 9);
  Coil plain = iron_coil();
  plain.reluctance = {.gap_m = 1.3e-3};
  const double dx_m = 1e-8;
  for (const Coil& coil : {iron_coil(), plain, table})
    for (const double pull_n : {2.0, 6.0})
      for (const double lift_m : {0.1e-3, 0.4e-3}) {
        const double current_a = current_for_pull_a(coil, pull_n, lift_m);
        EXPECT_NEAR(pull_of_current_n(coil, current_a, lift_m), pull_n, 1e-9);
        const double by_difference_npm = (pull_of_current_n(coil, current_a, lift_m + dx_m) -
                                          pull_of_current_n(coil, current_a, lift_m - dx_m)) /
                                         (2.0 * dx_m);
        EXPECT_GT(by_difference_npm, 500.0);
        EXPECT_NEAR(PullGrowth(coil).at_npm(pull_n, lift_m), by_difference_npm,
                    1e-5 * by_difference_npm);
      }
  EXPECT_EQ(PullGrowth(Coil{}).at_npm(6.0, 0.1e-3), 0.0);
}

}  // namespace
}  // namespace model
