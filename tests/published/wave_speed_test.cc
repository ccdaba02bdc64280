// Wave speeds of thick, soft and gassy lines against worked numbers.
//
// Source   formulas: Halliwell 1963, Chaudhry ch. 1, Wylie & Streeter 1993 ch. 1 (from memory);
//          soft-tube and gas tables: worked from the formulas with 25 digits outside this program;
//          steel main: a public tutorial on water hammer, no. 3 and no. 4; D/e: Korteweg 1878 as
//          restated by A. S. Tijsseling and A. Anderson
#include "model/fluid/wave_speed.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

namespace model {
namespace {

constexpr double kAtmosphere_pa = shared::kStandardAtmosphere_pa;

Wall wall_of(double modulus_pa, double poisson_ratio, Restraint restraint = Restraint::kAnchored) {
  return {.thickness_m = 1e-3,
          .modulus_pa = modulus_pa,
          .poisson_ratio = poisson_ratio,
          .restraint = restraint};
}

TEST(WaveSpeed, SoftSmallTubes) {
  struct Row {
    double modulus_pa, poisson_ratio, psi_ratio, thick_mps, thin_mps;
  };
  for (const Row& row :
       {Row{10e6, .48, 5.42272, 42.96, 57.00}, Row{50e6, .48, 5.42272, 95.91, 127.09},
        Row{250e6, .45, 5.45200, 212.12, 275.32}, Row{0.5e9, .46, 5.44288, 297.20, 384.87},
        Row{1.2e9, .40, 5.48800, 446.31, 554.69}, Row{200e9, .30, 5.51200, 1439.47, 1453.61}}) {
    const Wall wall = wall_of(row.modulus_pa, row.poisson_ratio);
    EXPECT_NEAR(wall_psi_ratio(4e-3, wall), row.psi_ratio, 5.1e-6);
    EXPECT_NEAR(wave_speed_of_wall_mps(4e-3, wall, {}, kAtmosphere_pa), row.thick_mps, 6e-3);
    // The thin-wall law psi = (D/e)(1 - nu^2) is of no use here: by hand from the same K and rho.
    const Liquid water;
    const double thin_ratio = 4.0 * (1.0 - row.poisson_ratio * row.poisson_ratio);
    const double thin_mps = std::sqrt(water.bulk_modulus_pa / water.density_kgpm3 /
                                      (1.0 + water.bulk_modulus_pa / row.modulus_pa * thin_ratio));
    EXPECT_NEAR(thin_mps, row.thin_mps, 6e-3);
  }
}

// Wylie & Streeter's thick form: psi = (D/e) [(2 e/D)(1 + nu) + D/(D + e) c], c = 1 jointed,
// 1 - nu^2 anchored throughout, 1 - nu/2 anchored upstream.
double wylie_psi_ratio(double bore_m, const Wall& wall, double c_ratio) {
  const double e_m = wall.thickness_m;
  return bore_m / e_m *
         (2.0 * e_m / bore_m * (1.0 + wall.poisson_ratio) + bore_m / (bore_m + e_m) * c_ratio);
}

TEST(WaveSpeed, JointedAndAnchoredAreWylieAndStreetersThickForm) {
  for (const double bore_m : {1e-3, 4e-3, 8e-3, 0.6})
    for (const double nu_ratio : {0.0, 0.3, 0.45, 0.5}) {
      Wall wall = wall_of(1e9, nu_ratio, Restraint::kJointed);
      EXPECT_NEAR(wall_psi_ratio(bore_m, wall) / wylie_psi_ratio(bore_m, wall, 1.0), 1.0, 1e-12);
      wall.restraint = Restraint::kAnchored;
      EXPECT_NEAR(
          wall_psi_ratio(bore_m, wall) / wylie_psi_ratio(bore_m, wall, 1.0 - nu_ratio * nu_ratio),
          1.0, 1e-12);
    }
}

// The axial volume strain that Wylie & Streeter leave out: 5.640 against 5.320 for steel; none at
// nu = 0.5.
TEST(WaveSpeed, UpstreamAnchorCountsTheAxialStrain) {
  Wall wall = wall_of(200e9, 0.3, Restraint::kAnchoredUpstream);
  EXPECT_NEAR(wall_psi_ratio(4e-3, wall), 5.640, 5e-4);
  EXPECT_NEAR(wylie_psi_ratio(4e-3, wall, 1.0 - 0.15), 5.320, 5e-4);
  wall.poisson_ratio = 0.5;
  EXPECT_NEAR(wall_psi_ratio(4e-3, wall), wylie_psi_ratio(4e-3, wall, 0.75), 1e-12);
}

TEST(WaveSpeed, ThinWallsTendToTheTextbookFactors) {
  // The first neglected term is of order e/D.
  const double bore_m = 1.0;
  for (const double e_m : {1e-3, 1e-4, 1e-5}) {
    Wall wall{.thickness_m = e_m, .modulus_pa = 1e9, .poisson_ratio = 0.3};
    const double slender_ratio = bore_m / e_m;
    const auto factor_ratio = [&](Restraint restraint) {
      wall.restraint = restraint;
      return wall_psi_ratio(bore_m, wall) / slender_ratio;
    };
    EXPECT_NEAR(factor_ratio(Restraint::kJointed), 1.0, 3.0 * e_m);
    EXPECT_NEAR(factor_ratio(Restraint::kAnchored), 1.0 - 0.09, 3.0 * e_m);
    // (Ro^2 + 1.5 Ri^2 + nu (Ro^2 - 3 Ri^2)) -> (2.5 - 2 nu) Ri^2: 1.25 - nu, the factor of the
    // laws that count the axial strain (5/4 - nu).
    EXPECT_NEAR(factor_ratio(Restraint::kAnchoredUpstream), 1.25 - 0.3, 3.0 * e_m);
  }
}

TEST(WaveSpeed, SteelMainOfTheTutorial) {
  // D = 0.600 m, e = 18 mm, K = 2060 MPa, E = 200 GPa: a = 1238.35 m/s by Korteweg's D/e, and
  // dp = rho a V = 3095.9 kPa at 2.5 m/s. Korteweg's psi by hand; the thick law differs by e/D.
  const double korteweg_mps = std::sqrt(2.06e9 / 1000.0 / (1.0 + 2.06e9 / 200e9 * 0.600 / 0.018));
  EXPECT_NEAR(korteweg_mps, 1238.35, 0.13);
  EXPECT_NEAR(1000.0 * korteweg_mps * 2.5, 3095.9e3, 310.0);
  const Liquid water{.density_kgpm3 = 1000.0, .bulk_modulus_pa = 2.06e9};
  const Wall wall{.thickness_m = 0.018,
                  .modulus_pa = 200e9,
                  .poisson_ratio = 0.0,
                  .restraint = Restraint::kJointed};
  // psi = D/e + 1 + e/(D + e) at nu = 0: 34.3625; with K/E = 0.0103: 1233.50 m/s by hand.
  EXPECT_NEAR(wall_psi_ratio(0.600, wall), 33.0 + 1.0 / 3.0 + 1.0 + 0.018 / 0.618, 1e-9);
  EXPECT_NEAR(wave_speed_of_wall_mps(0.600, wall, water, kAtmosphere_pa), korteweg_mps,
              5e-3 * korteweg_mps);
}

TEST(WaveSpeed, RigidLinesOfTheTutorial) {
  Liquid water{.density_kgpm3 = 1000.0, .bulk_modulus_pa = 2.0164e9};
  EXPECT_NEAR(wave_speed_of_wall_mps(1.0, {}, water, kAtmosphere_pa), 1420.0, 5e-3);
  water.bulk_modulus_pa = 2.07e9;
  EXPECT_NEAR(wave_speed_of_wall_mps(0.2, {}, water, kAtmosphere_pa), 1438.75, 5e-3);
}

TEST(WaveSpeed, WoodsTableOfFreeGas) {
  struct Row {
    double gas_ratio, rigid_mps, soft_mps;
  };
  const Wall soft = wall_of(250e6, 0.45);
  for (const Row& row :
       {Row{1e-6, 1466.6, 212.1}, Row{1e-5, 1344.0, 211.7}, Row{1e-4, 833.3, 207.6},
        Row{1e-3, 311.7, 176.6}, Row{1e-2, 101.0, 91.5}}) {
    Liquid water;
    water.gas_ratio = row.gas_ratio;
    EXPECT_NEAR(wave_speed_of_wall_mps(4e-3, {}, water, kAtmosphere_pa) / row.rigid_mps, 1.0, 1e-3);
    EXPECT_NEAR(wave_speed_of_wall_mps(4e-3, soft, water, kAtmosphere_pa) / row.soft_mps, 1.0, 1e-3)
        << row.gas_ratio;
  }
}

TEST(WaveSpeed, AGivenSpeedIsSlowedAsItsOwnWallWouldBe) {
  const Wall wall = wall_of(250e6, 0.45);
  Liquid water;
  const double dry_mps = wave_speed_of_wall_mps(4e-3, wall, water, kAtmosphere_pa);
  EXPECT_EQ(wave_speed_with_gas_mps(dry_mps, water, kAtmosphere_pa), dry_mps);
  for (const double gas_ratio : {1e-5, 1e-3, 1e-2})
    for (const double pressure_pa : {kAtmosphere_pa, 4e5}) {
      water.gas_ratio = gas_ratio;
      EXPECT_NEAR(wave_speed_with_gas_mps(dry_mps, water, pressure_pa) /
                      wave_speed_of_wall_mps(4e-3, wall, water, pressure_pa),
                  1.0, 1e-13);
    }
}

TEST(WaveSpeed, GasShrinksWithPressureByBoyle) {
  // 1 ml of gas in 100 ml at the atmosphere is 0.25 ml in 99.25 ml at four of them.
  EXPECT_NEAR(gas_share_ratio(0.01, 4.0 * kAtmosphere_pa), 0.25 / 99.25, 1e-15);
  Liquid water;
  water.gas_ratio = 0.01;
  EXPECT_DOUBLE_EQ(with_gas(water).density_kgpm3, 0.99 * 998.207);
}

TEST(WaveSpeed, FinishesALineOrSaysWhatIsMissing) {
  Line line{.length_m = 1.0, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  finish_line(line, {}, kAtmosphere_pa);
  EXPECT_EQ(line.wave_speed_mps, 400.0);
  line.creep = {{.compliance_ppa = 1e-10, .time_s = 0.05}};
  EXPECT_THROW(finish_line(line, {}, kAtmosphere_pa), std::invalid_argument);
  line.wall = wall_of(0.0, 0.45);
  EXPECT_THROW(finish_line(line, {}, kAtmosphere_pa), std::invalid_argument);
  line.wall = wall_of(250e6, 0.6);
  EXPECT_THROW(finish_line(line, {}, kAtmosphere_pa), std::invalid_argument);
  line.wall = wall_of(250e6, 0.45);
  finish_line(line, {}, kAtmosphere_pa);
  EXPECT_NEAR(line.wave_speed_mps, 212.12, 6e-3);
  Line empty{.length_m = 1.0, .bore_m = 4e-3};
  EXPECT_THROW(finish_line(empty, {}, kAtmosphere_pa), std::invalid_argument);
}

}  // namespace
}  // namespace model
