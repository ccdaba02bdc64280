// A vapour cavity opens at a valve that shuts at once, grows, and collapses: against the exact
// solution without friction. Setup: tests/published/setups/cavity.toml.
//
//   P = pd - pv, u = P/(rho a), r = V0/u, m = floor(r), T = 2 L/a
//   volume at k T           u A T k (r - k)
//   collapse                T (m + m (r - m)/(2 m + 1 - r))
//   pressure after it       pv + (2 m + 1 - r) P until (m + 1) T, then pv + (2 m + 3 - r) P
//
// Source   derived outside this program and confirmed there with a run of discrete cavities;
//          mechanism: A. R. Simpson, E. B. Wylie 1991, short-duration pulses (from memory)
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/published/rig_setups.h"

namespace {

using published::run_setup;

constexpr double kEcho_s = 8e-3;                      // T of the setup
constexpr double kHead_pa = 2e5;                      // P
constexpr double kVapour_pa = -1e5;                   // gauge
constexpr double kUnit_m3ps = 15.707963267948966e-6;  // u A

struct Exact {
  double r, collapse, after, peak, most;  // of T, of P above pv, of P above pv, of u A T
};
const std::vector<Exact> kTable{{1.5, 1.333333, 1.5, 3.5, .5},
                                {2.5, 2.400000, 2.5, 4.5, 1.5},
                                {3.25, 3.200000, 3.75, 5.75, 2.5},
                                {4.5, 4.444444, 4.5, 6.5, 5.0}};

std::vector<std::string> sets_of(double r) {
  return {"inlet.values=[\"" + std::to_string(r * kUnit_m3ps * 1e6 * 1e9) +
          "e-9 ml/s\", \"0 ml/s\"]"};
}

double pressure_at(const sim::rig::RigSeries& series, double t_s) {
  const auto i = static_cast<std::size_t>(std::lround(t_s / 40e-6));
  return (series.inlet_pressure_pa.at(i) - kVapour_pa) / kHead_pa;
}

TEST(Cavity, PressuresCollapseAndVolumeAreExact) {
  for (const Exact& exact : kTable) {
    const auto result = run_setup("cavity", sets_of(exact.r));
    const sim::rig::RigSeries& series = result.series;
    const double r = exact.r;
    const double m = std::floor(r);
    // While the cavity stands the pressure is vapour pressure; after it come exact plateaus.
    EXPECT_NEAR(pressure_at(series, 0.5 * kEcho_s), 0.0, 1e-10) << r;
    const double first_s = 0.5 * (exact.collapse + m + 1.0) * kEcho_s;
    const double second_s = 0.5 * (exact.collapse + 1.0 + m + 1.0) * kEcho_s;
    EXPECT_NEAR(pressure_at(series, first_s), exact.after, 1e-10) << r;
    EXPECT_NEAR(pressure_at(series, second_s), exact.peak, 1e-10) << r;
    double most_m3 = 0.0, collapse_s = 0.0;
    for (std::size_t i = 0; i < series.time_s.size(); ++i) {
      EXPECT_GE(series.valve_cavity_m3[i], 0.0);
      EXPECT_GE(series.inlet_pressure_pa[i], kVapour_pa - 1e-9);
      if (series.time_s[i] > (exact.collapse + 0.5) * kEcho_s) break;
      most_m3 = std::max(most_m3, series.valve_cavity_m3[i]);
      if (series.valve_cavity_m3[i] > 0.0) collapse_s = series.time_s[i];
    }
    const double step_s = result.fit.step_s;
    EXPECT_NEAR(most_m3 / (kUnit_m3ps * kEcho_s), exact.most, r * step_s / kEcho_s) << r;
    EXPECT_NEAR(collapse_s, exact.collapse * kEcho_s, 1.01 * step_s) << r;
    printf("r %.2f  collapse %.6f T (exact %.6f)  most volume %.4f (exact %.4f)\n", r,
           collapse_s / kEcho_s, exact.collapse, most_m3 / (kUnit_m3ps * kEcho_s), exact.most);
  }
}

// Onset: the valve cavitates at once iff rho a V0 > P.
TEST(Cavity, NoneBelowTheOnset) {
  const auto below = run_setup("cavity", sets_of(0.999));
  EXPECT_EQ(
      *std::max_element(below.series.valve_cavity_m3.begin(), below.series.valve_cavity_m3.end()),
      0.0);
  const auto above = run_setup("cavity", sets_of(1.001));
  EXPECT_GT(
      *std::max_element(above.series.valve_cavity_m3.begin(), above.series.valve_cavity_m3.end()),
      0.0);
}

// A trace of free gas (1e-7 of the tube) must give nearly the vapour cavity's peak: within a few
// per cent (gas cavity against vapour cavity, Wylie and Streeter 1993, from memory).
TEST(Cavity, ATraceOfGasGivesTheSamePulse) {
  auto sets = sets_of(2.5);
  const auto vapour = run_setup("cavity", sets);
  const double tube_m3 = published::area_m2(vapour) * 4.0;
  sets.insert(sets.end(), {"gas_pocket.volume=\"" + std::to_string(tube_m3 * 1e-7 * 1e9) + " mm3\"",
                           "gas_pocket.at=\"valve exit\""});
  const auto gas = run_setup("cavity", sets);
  const auto peak = [](const sim::rig::RigResult& result) {
    return *std::max_element(result.series.inlet_pressure_pa.begin(),
                             result.series.inlet_pressure_pa.end());
  };
  EXPECT_NEAR(peak(gas) / peak(vapour), 1.0, 0.03);
}

}  // namespace
