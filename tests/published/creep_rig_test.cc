// A wall that creeps damps and slows the waves of a stopped column more than an elastic one does.
// Setup: tests/published/setups/creep_polyethylene.toml.
//
// Source   wave speed 395 m/s, bore, wall and creep of the pipe of D. Covas et al. 2004/05 (from
//          memory). No trace is at hand: only the signs are tested, as published for such pipes
//          (K. Urbanowicz, H.-F. Duan, A. Bergant, SV-JME 66(2), 2020).
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "tests/published/rig_setups.h"

namespace {

double swing_pa(const sim::rig::RigResult& result, double from_s, double to_s) {
  double low = 1e300, high = -1e300;
  for (std::size_t i = 0; i < result.series.time_s.size(); ++i) {
    if (result.series.time_s[i] < from_s || result.series.time_s[i] > to_s) continue;
    low = std::min(low, result.series.inlet_pressure_pa[i]);
    high = std::max(high, result.series.inlet_pressure_pa[i]);
  }
  return high - low;
}

// Mean time between passages through the final pressure, from the second on.
double half_period_s(const sim::rig::RigResult& result) {
  std::vector<double> passages_s;
  const auto& p_pa = result.series.inlet_pressure_pa;
  for (std::size_t i = 1; i < p_pa.size(); ++i)
    if ((p_pa[i] - 3e5) * (p_pa[i - 1] - 3e5) < 0.0) passages_s.push_back(result.series.time_s[i]);
  return (passages_s[4] - passages_s[1]) / 3.0;
}

TEST(CreepRig, DampsAndSlowsTheWaves) {
  const auto creeping = published::run_setup("creep_polyethylene");
  const auto elastic = published::run_setup("creep_polyethylene", {"tube.creep=[]"});
  EXPECT_NEAR(elastic.setup.part.tube.wave_speed_mps, 395.0, 4.0);
  const double early = swing_pa(creeping, 0.0, 1.0) / swing_pa(elastic, 0.0, 1.0);
  const double late = swing_pa(creeping, 4.0, 6.0) / swing_pa(elastic, 4.0, 6.0);
  printf(
      "swing against an elastic wall: first second %.2f, seconds 4 to 6 %.2f; half period %.4f "
      "against %.4f s\n",
      early, late, half_period_s(creeping), half_period_s(elastic));
  EXPECT_LT(late, 0.5);
  EXPECT_LT(late, early);
  EXPECT_GT(half_period_s(creeping), half_period_s(elastic));
}

}  // namespace
