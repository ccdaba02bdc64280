// Discharge laws of outlets and seats: printed numbers, limits, and how far the model's own law of
// two coefficients is from the full law of the short tube.
//
// Source   beside each check; laws in tests/support/discharge_laws.h, the model's in
//          model/fluid/discharge.h and orifice.h
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "model/fluid/discharge.h"
#include "model/fluid/orifice.h"
#include "tests/support/discharge_laws.h"

namespace model {
namespace {

constexpr double kBar_pa = 1e5;
const Liquid kWater{.density_kgpm3 = 998.207, .viscosity_pas = 1.0016e-3};

double outlet_m3ps(const Outlet& outlet, const Liquid& liquid, double drop_pa) {
  return outlet_flow_m3ps(make_outlet_plan(outlet, liquid), drop_pa, 0.0);
}

// Q = Cd A sqrt(2 p/rho): flows as roots of pressures at constant Cd, tolerance 1e-12.
TEST(OrificeLaw, FlowsAreAsRootsOfPressures) {
  const Outlet outlet;
  const SeatPlan<double> seat = make_seat_plan(Seat{}, kWater);
  for (const double times : {2.0, 3.0, 7.5}) {
    EXPECT_NEAR(outlet_m3ps(outlet, kWater, times * kBar_pa) / outlet_m3ps(outlet, kWater, kBar_pa),
                std::sqrt(times), 1e-12);
    EXPECT_NEAR(
        seat_flow_m3ps(seat, 3e-4, times * kBar_pa, 0.0) / seat_flow_m3ps(seat, 3e-4, kBar_pa, 0.0),
        std::sqrt(times), 1e-12);
  }
}

// The doctest of a general fluids library prints the first two to all digits; the rest computed
// outside from the formula, l/d = 4, tolerance 1e-4.
TEST(ShortTubeLaw, PrintedValues) {
  EXPECT_NEAR(discharge::lichtarowicz_ratio(2e4, 2.0), .8088165976866, 1e-13);
  EXPECT_NEAR(discharge::lichtarowicz_ratio(100.0, 2.0), .4284155081876958, 1e-15);
  const double table[6][2] = {{10, .0470},   {100, .3067},  {500, .6027},
                              {1000, .6860}, {3000, .7592}, {1e4, .7906}};
  for (const auto& row : table)
    EXPECT_NEAR(discharge::lichtarowicz_ratio(row[0], 4.0), row[1], 1e-4);
}

// Which Re? With the flow's speed V the law is Cd = Re/k as Re -> 0, so that p = (rho/2)(k nu/d)^2
// at any flow. With the ideal speed u it is V = u^2 d/(k nu), so pressure goes as flow. Only the
// second is possible.
TEST(ShortTubeLaw, OnlyTheIdealSpeedGivesACreepingLimit) {
  const double length_ratio = 3.0;
  // Drop over rho nu^2/(2 d^2), at a flow given as V d/nu: the square of u d/nu.
  const auto by_flow_speed = [&](double v_ratio) {
    const double u_ratio = v_ratio / discharge::lichtarowicz_ratio(v_ratio, length_ratio);
    return u_ratio * u_ratio;
  };
  EXPECT_NEAR(by_flow_speed(1e-3) / by_flow_speed(1e-4), 1.0, 1e-4) << "no flow, full pressure";
  const auto flow_by_ideal_speed = [&](double u_ratio) {
    return u_ratio * discharge::lichtarowicz_ratio(u_ratio, length_ratio);
  };
  EXPECT_NEAR(flow_by_ideal_speed(1e-3) / flow_by_ideal_speed(1e-4), 100.0, 1e-2)
      << "u^2 is the pressure: flow as pressure";
}

// Flow of the two-coefficient form at the pressure of ideal Reynolds number Re, over the law's own.
double flow_over_law_ratio(double re_ratio, double length_ratio) {
  const ShortTube tube = short_tube(length_ratio);
  const Outlet outlet{.bore_m = 1e-3,
                      .discharge_coefficient_ratio = tube.discharge_coefficient_ratio,
                      .laminar_coefficient_ratio = tube.laminar_coefficient_ratio};
  const double ideal_mps = re_ratio * kWater.viscosity_pas / (kWater.density_kgpm3 * outlet.bore_m);
  const double drop_pa = 0.5 * kWater.density_kgpm3 * ideal_mps * ideal_mps;
  const double area_m2 = 0.25 * shared::kPi_ratio * outlet.bore_m * outlet.bore_m;
  return outlet_m3ps(outlet, kWater, drop_pa) /
         (area_m2 * ideal_mps * discharge::lichtarowicz_ratio(re_ratio, length_ratio));
}

// The two coefficients are the law's expansion at high Re: close where jets are, too small below.
TEST(ShortTubeLaw, TwoCoefficientsAgainstTheWholeLaw) {
  for (double length_ratio = 2.0; length_ratio <= 10.0; length_ratio += 1.0) {
    for (double re_ratio = 10.0; re_ratio <= 2e4; re_ratio *= 1.1) {
      const double error_ratio = flow_over_law_ratio(re_ratio, length_ratio) - 1.0;
      EXPECT_LT(error_ratio, 0.0) << re_ratio << " " << length_ratio;
      const double k_over_re_ratio = 20.0 * (1.0 + 2.25 * length_ratio) / re_ratio;
      // Second order of the expansion, and the term that it leaves out: .005 l/d of 1/Cd >= 1/Cdu.
      const double left_out_ratio = .005 * length_ratio * (.827 - .0085 * length_ratio);
      const double allowed_ratio =
          std::min(0.5, 0.5 * k_over_re_ratio * k_over_re_ratio + left_out_ratio);
      EXPECT_GT(error_ratio, -allowed_ratio) << re_ratio << " " << length_ratio;
    }
  }
  EXPECT_NEAR(flow_over_law_ratio(1000.0, 2.0), 1.0, 0.006);
  EXPECT_NEAR(flow_over_law_ratio(1000.0, 10.0), 1.0, 0.047);
  EXPECT_NEAR(flow_over_law_ratio(10.0, 2.0), 0.554, 0.001);
}

// Dagan's creeping coefficient, (3 + 16 (l/d)/pi) * 2 pi, lies between the law's and ours.
TEST(ShortTubeLaw, CreepingFlowLiesBetweenTheTwoLimits) {
  for (const double length_ratio : {2.0, 4.0, 10.0}) {
    const double bore_m = 1e-3;
    const double flow_m3ps = 1e-9;
    const double area_m2 = 0.25 * shared::kPi_ratio * bore_m * bore_m;
    const double exact_ratio =
        discharge::dagan_drop_pa(bore_m, length_ratio * bore_m, kWater.viscosity_pas, flow_m3ps) *
        area_m2 * bore_m / (kWater.viscosity_pas * flow_m3ps);
    const double ours_ratio = short_tube(length_ratio).laminar_coefficient_ratio;
    EXPECT_LT(exact_ratio, ours_ratio);
    EXPECT_GT(exact_ratio, 0.5 * ours_ratio);
  }
}

// Sharp .61, rounded .98, short tube .81, re-entrant .51: the coefficients that textbooks print.
// The short tube's is the law's at l/d 2 to 3 and high Re; the sharp one Wu's limit.
TEST(OrificeLaw, TextbookCoefficients) {
  EXPECT_NEAR(short_tube(2.0).discharge_coefficient_ratio, .81, .005);
  EXPECT_NEAR(discharge::lichtarowicz_ratio(2e4, 2.0), .81, .005);
  EXPECT_NEAR(discharge::wu_sharp_ratio(1e5), .61, 1e-6);
}

// d = 1 in, h = 20 ft: .6060.
TEST(OrificeLaw, UnwinsWaterTests) {
  EXPECT_NEAR(discharge::unwin_ratio(shared::kInch_m, 20.0 * shared::kFoot_m), .6060, 5e-5);
}

// Computed outside from the formula: Re 10, 50, 100, 1000; the largest .6889 at Re 122.
TEST(OrificeLaw, WuBurtonSchoenau) {
  EXPECT_NEAR(discharge::wu_sharp_ratio(10.0), .4682, 1e-4);
  EXPECT_NEAR(discharge::wu_sharp_ratio(50.0), .6560, 1e-4);
  EXPECT_NEAR(discharge::wu_sharp_ratio(100.0), .6873, 1e-4);
  EXPECT_NEAR(discharge::wu_sharp_ratio(1000.0), .6216, 1e-4);
  double largest_ratio = 0.0;
  double at_ratio = 0.0;
  for (double re_ratio = 1.0; re_ratio < 1e4; re_ratio += 1.0) {
    if (discharge::wu_sharp_ratio(re_ratio) <= largest_ratio) continue;
    largest_ratio = discharge::wu_sharp_ratio(re_ratio);
    at_ratio = re_ratio;
  }
  EXPECT_NEAR(largest_ratio, .6889, 1e-4);
  EXPECT_NEAR(at_ratio, 122.0, 1.0);
}

// Q = d^3 p/(24 mu) is Cd = .162868 sqrt(Re), Re by the flow's speed; and Dagan without length is
// Sampson.
TEST(OrificeLaw, SampsonsCreepingFlow) {
  const double bore_m = 1e-3;
  const double flow_m3ps = discharge::sampson_m3ps(bore_m, 0.01, kWater.viscosity_pas);
  const double area_m2 = 0.25 * shared::kPi_ratio * bore_m * bore_m;
  const double cd_ratio = flow_m3ps / (area_m2 * std::sqrt(2.0 * 0.01 / kWater.density_kgpm3));
  const double re_ratio =
      kWater.density_kgpm3 * flow_m3ps * bore_m / (area_m2 * kWater.viscosity_pas);
  EXPECT_NEAR(cd_ratio / std::sqrt(re_ratio), .162868, 5e-7);
  EXPECT_NEAR(discharge::dagan_drop_pa(bore_m, 0.0, kWater.viscosity_pas, flow_m3ps), 0.01, 1e-15);
}

// Nakayama has no printed value at hand; inside both ranges this law and the short tube's are for
// the same tubes and stay within 10 % of one another (l/d 2 to 6).
TEST(OrificeLaw, NakayamaIsNearTheShortTube) {
  for (const double length_ratio : {2.0, 4.0, 6.0}) {
    for (const double re_ratio : {1000.0, 2000.0, 4000.0, 7000.0}) {
      // Nakayama's Re is the flow's; the other is found by its own Cd.
      double ideal_ratio = re_ratio;
      for (int pass = 0; pass < 50; ++pass)
        ideal_ratio = re_ratio / discharge::lichtarowicz_ratio(ideal_ratio, length_ratio);
      EXPECT_NEAR(discharge::nakayama_ratio(re_ratio, length_ratio) /
                      discharge::lichtarowicz_ratio(ideal_ratio, length_ratio),
                  1.0, .10)
          << re_ratio << " " << length_ratio;
    }
  }
}

// The outlet's own law against another's blend of laminar and turbulent, q = Cd A sqrt(2/rho)
// p/(p^2 + pcr^2)^(1/4) with pcr = (rho/2)(Re_cr nu/(Cd d))^2: both go as p below and as sqrt(p)
// above, and the laminar coefficients agree where c_lam = Re_cr/(2 Cd^2).
TEST(OrificeLaw, LaminarAndTurbulentEndsAgreeWithAnotherBlend) {
  const double cd_ratio = .65;
  const double critical_re_ratio = 100.0;
  const Outlet outlet{.bore_m = 1e-3,
                      .discharge_coefficient_ratio = cd_ratio,
                      .laminar_coefficient_ratio = critical_re_ratio / (2.0 * cd_ratio * cd_ratio)};
  const double area_m2 = 0.25 * shared::kPi_ratio * outlet.bore_m * outlet.bore_m;
  const double nu_m2ps = kWater.viscosity_pas / kWater.density_kgpm3;
  const double critical_mps = critical_re_ratio * nu_m2ps / (cd_ratio * outlet.bore_m);
  const double critical_pa = 0.5 * kWater.density_kgpm3 * critical_mps * critical_mps;
  const auto blend_m3ps = [&](double drop_pa) {
    return cd_ratio * area_m2 * std::sqrt(2.0 / kWater.density_kgpm3) * drop_pa /
           std::pow(drop_pa * drop_pa + critical_pa * critical_pa, .25);
  };
  const double low_pa = 1e-6 * critical_pa;
  const double high_pa = 1e6 * critical_pa;
  EXPECT_NEAR(outlet_m3ps(outlet, kWater, low_pa) / blend_m3ps(low_pa), 1.0, 1e-5);
  EXPECT_NEAR(outlet_m3ps(outlet, kWater, high_pa) / blend_m3ps(high_pa), 1.0, 1e-3);
}

// ISO 5167-2 holds from D = 50 mm and Re = 5000: not applicable at 1 mm, used only as the limit
// .596 to .61 that a sharp edge tends to.
TEST(OrificeLaw, TheStandardsPlateLimitsASharpEdge) {
  for (const double beta_ratio : {.1, .3, .5}) {
    const double cd_ratio = discharge::reader_harris_ratio(1e8, beta_ratio);
    EXPECT_GT(cd_ratio, .596);
    EXPECT_LT(cd_ratio, .61);
    EXPECT_NEAR(cd_ratio, discharge::wu_sharp_ratio(1e5), .015);
  }
}

// Curtain pi d x = seat's pi d^2/4 at x = d/4 of a flat seat; beyond it flow must not grow.
TEST(Lift, HandsOverToTheSeatsAreaAtAQuarterOfItsDiameter) {
  Seat flat;
  flat.half_angle_rad = shared::kPi_ratio / 2.0;
  const SeatPlan<double> plan = make_seat_plan(flat, kWater);
  EXPECT_NEAR(plan.most_lift_m, 0.25 * flat.diameter_m, 1e-18);
  EXPECT_NEAR(plan.rim_m * plan.most_lift_m, plan.area_m2, 1e-20);
  const double at_m3ps = seat_flow_m3ps(plan, plan.most_lift_m, kBar_pa, 0.0);
  EXPECT_EQ(seat_flow_m3ps(plan, 1.7 * plan.most_lift_m, kBar_pa, 0.0), at_m3ps);
  EXPECT_NEAR(seat_flow_m3ps(plan, 0.5 * plan.most_lift_m, kBar_pa, 0.0) / at_m3ps, 0.5, 1e-12);
}

struct Nozzle {
  double bore_in_ratio;
  double gallon_per_minute_ratio[5];  // at 10, 15, 20, 25, 30 psi
};

// Hydraulic Institute, theoretical discharge of nozzles (edl.pumps.org): Cd = 1, water; rounded to
// .1, so .06 gal/min is allowed.
TEST(Nozzles, HydraulicInstituteTable) {
  constexpr Nozzle kTable[] = {{.125, {1.5, 1.8, 2.1, 2.3, 2.6}},
                               {.1875, {3.3, 4.1, 4.7, 5.2, 5.7}},
                               {.25, {5.9, 7.2, 8.3, 9.3, 10.2}}};
  for (const Nozzle& row : kTable) {
    const Outlet outlet{.bore_m = row.bore_in_ratio * shared::kInch_m,
                        .discharge_coefficient_ratio = 1.0};
    for (int column = 0; column < 5; ++column) {
      const double drop_pa = (10.0 + 5.0 * column) * shared::kPoundPerSquareInch_pa;
      EXPECT_NEAR(outlet_m3ps(outlet, kWater, drop_pa) / (shared::kGallon_m3 / 60.0),
                  row.gallon_per_minute_ratio[column], .06)
          << row.bore_in_ratio << " in, column " << column;
    }
  }
}

struct Colour {
  const char* size;
  double at3bar_lpm_ratio;
  double at2bar_lpm_ratio;
  double jet_area_mm2;
};

// ISO 10625 colours (from memory): .4 l/min at 3 bar a unit of size; a printed 2-bar table; Cd A
// computed outside. Row 025 of the print (.98) repeats row 03: a misprint, its root is .82. The
// scope says that the standard "might not be applicable to liquid fertilizer applications" (BSI
// page): water only.
TEST(Nozzles, ColoursOfIso10625WithWater) {
  constexpr Colour kTable[] = {
      {"01", .4, .33, .2719},    {"015", .6, .49, .4079},   {"02", .8, .65, .5438},
      {"025", 1.0, .82, .6798},  {"03", 1.2, .98, .8158},   {"04", 1.6, 1.31, 1.0877},
      {"05", 2.0, 1.63, 1.3596}, {"06", 2.4, 1.96, 1.6315}, {"08", 3.2, 2.61, 2.1754}};
  const double lpm_m3ps = 1e-3 / 60.0;
  for (const Colour& row : kTable) {
    const Outlet outlet{
        .bore_m = std::sqrt(4.0 / shared::kPi_ratio * row.jet_area_mm2 * 1e-6 / .65),
        .discharge_coefficient_ratio = .65};
    EXPECT_NEAR(outlet_m3ps(outlet, kWater, 3.0 * kBar_pa) / lpm_m3ps, row.at3bar_lpm_ratio,
                2e-4 * row.at3bar_lpm_ratio)
        << row.size;
    EXPECT_NEAR(outlet_m3ps(outlet, kWater, 2.0 * kBar_pa) / lpm_m3ps, row.at2bar_lpm_ratio, 5.1e-3)
        << row.size;
  }
}

// Sizes are US gal/min at 40 psi over .1: size 02 gives .2 gal/min, against .4 l/min a unit at
// 3 bar within 2 % (the two definitions differ by 1.4 %).
TEST(Nozzles, SizesAreTenthsOfAGallonAtFortyPsi) {
  const Outlet size02{.bore_m = std::sqrt(4.0 / shared::kPi_ratio * .5438e-6 / .65),
                      .discharge_coefficient_ratio = .65};
  const double flow_m3ps = outlet_m3ps(size02, kWater, 40.0 * shared::kPoundPerSquareInch_pa);
  EXPECT_NEAR(flow_m3ps / (shared::kGallon_m3 / 60.0), .2, .02 * .2);
}

// Fertiliser through the same nozzle: Q = Q_w sqrt(rho_w/rho), exact at constant Cd; 28-0-0 of
// 10.67 lb/gal: .884 of water's flow (trade's conversion 1.13 = 1/.884: common practice, no
// source).
TEST(Nozzles, FertiliserFlowsLessByTheRootOfDensity) {
  Liquid urea = kWater;
  urea.density_kgpm3 = 1278.5;
  const Outlet outlet;
  const double ratio = outlet_m3ps(outlet, urea, 2e5) / outlet_m3ps(outlet, kWater, 2e5);
  EXPECT_NEAR(ratio, std::sqrt(998.207 / 1278.5), 1e-12);
  EXPECT_NEAR(1.0 / ratio, 1.13, .005);
}

// 1 mm, Cd .65, 2 bar of water: 1.0219e-5 m3/s, Ro = 2 p/Q = 3.914e10.
TEST(OrificeLaw, TheOneMillimetreOutlet) {
  const double flow_m3ps = outlet_m3ps(Outlet{}, kWater, 2e5);
  EXPECT_NEAR(flow_m3ps, 1.0219e-5, 5e-10);
  EXPECT_NEAR(2.0 * 2e5 / flow_m3ps, 3.914e10, 5e6);
}

// What returns from the outlet into 0.6 m x 4 mm of water at 400 m/s, Zc = 3.1774e10: its slope
// dp/dQ = 2 p/Q = Ro answers as (Ro - Zc)/(Ro + Zc) at 0.5, 1, 2, 3 bar; tolerance by the digits.
TEST(OrificeLaw, ReflectionOfTheOutlet) {
  const double zc_paspm3 = kWater.density_kgpm3 * 400.0 / (shared::kPi_ratio * 4e-6);
  EXPECT_NEAR(zc_paspm3, 3.1774e10, 5e5);
  const double table[4][2] = {{.5, -.2377}, {1.0, -.0689}, {2.0, .1039}, {3.0, .2028}};
  for (const auto& row : table) {
    const double drop_pa = row[0] * kBar_pa;
    // Slope of the law itself, from the flows at two neighbouring pressures.
    const double step_m3ps = outlet_m3ps(Outlet{}, kWater, drop_pa * (1.0 + 1e-5)) -
                             outlet_m3ps(Outlet{}, kWater, drop_pa * (1.0 - 1e-5));
    const double slope_paspm3 = 2e-5 * drop_pa / step_m3ps;
    EXPECT_NEAR((slope_paspm3 - zc_paspm3) / (slope_paspm3 + zc_paspm3), row[1], 6e-5) << row[0];
  }
}

// Flow force c_f 2 Cd cos(th) A p, closing: none without a drop; F/(A p) constant at constant Cd
// and angle; the shut valve carries p A_s exactly. Merritt's sharp spool, th = 69 deg, Cd = .6
// (from memory): .43 A p.
TEST(FlowForce, LimitsAndMerritt) {
  const SeatPlan<double> plan = make_seat_plan(Seat{}, kWater);
  EXPECT_EQ(seat_force_n(plan, 2e-4, 0.0), 0.0);
  EXPECT_EQ(seat_force_n(plan, 0.0, 3e5), plan.area_m2 * 3e5);
  const auto relief_ratio = [&](double lift_m, double drop_pa) {
    return (plan.area_m2 * drop_pa - seat_force_n(plan, lift_m, drop_pa)) /
           (plan.rim_m * lift_m * drop_pa);
  };
  const double wanted_ratio = 2.0 * .65 * std::cos(shared::kPi_ratio / 4.0);
  for (const double lift_m : {1e-4, 3e-4})
    for (const double drop_pa : {1e4, 5e5})
      EXPECT_NEAR(relief_ratio(lift_m, drop_pa), wanted_ratio, 1e-12);
  Seat spool;
  spool.half_angle_rad = 69.0 / 180.0 * shared::kPi_ratio;
  spool.discharge_coefficient_ratio = .6;
  const SeatPlan<double> merritt = make_seat_plan(spool, kWater);
  EXPECT_NEAR(merritt.flow_force_rim_m / merritt.rim_m, .43, .005);
}

}  // namespace
}  // namespace model
