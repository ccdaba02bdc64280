// A rigid column starts from rest under a constant pressure, on the rig. Setup:
// tests/published/setups/column_start.toml.
//
// Source   P. Szymanski 1932 (from memory): V/Vinf = 1 - 32 sum exp(-l_n^2 tau)/l_n^4, l_n zeros of
//          J0; table computed outside this program. Quasi-steady friction would give 0.0769 at
//          0.01: the test tells the models apart.
#include <gtest/gtest.h>

#include <cmath>

#include "model/fluid/line.h"
#include "tests/published/rig_setups.h"

namespace {

struct Start {
  double tau, speed_ratio;
};
const std::vector<Start> kTable{{.001, .00762341}, {.005, .03584572}, {.01, .06837034},
                                {.02, .12759399},  {.05, .27582087},  {.1, .46175446},
                                {.2, .69897214},   {.3, .83121127},   {.5, .94690998}};

// The inlet's flow climbs in stairs of 2 L/a; middles of the two treads around an instant.
double ratio_at(const sim::rig::RigResult& result, double t_s) {
  const model::Line& tube = result.setup.part.tube;
  const double travel_s = tube.length_m / tube.wave_speed_mps;
  const double steady_m3ps =
      100.0 / model::laminar_resistance_paspm3(tube, result.setup.liquid.liquid);
  const double tread_ratio = std::floor((t_s / travel_s - 1.0) / 2.0);
  const double before_s = (2.0 * tread_ratio + 1.0) * travel_s;
  const auto value = [&](double at_s) {
    const auto i = static_cast<std::size_t>(at_s / 2e-6 + 0.5);
    return result.series.inlet_flow_m3ps[i] / steady_m3ps;
  };
  const double after_s = before_s + 2.0 * travel_s;
  const double share_ratio = (t_s - before_s) / (after_s - before_s);
  return value(before_s) + share_ratio * (value(after_s) - value(before_s));
}

TEST(SzymanskiRig, TheColumnStartsAsTheSeriesSays) {
  const auto result = published::run_setup("column_start", {"record.every=\"2 us\""});
  const double viscous_s = 0.4;  // r^2/nu
  for (const Start& start : kTable) {
    const double ratio = ratio_at(result, start.tau * viscous_s);
    printf("tau %.3f  %.6f (series %.6f)\n", start.tau, ratio, start.speed_ratio);
    EXPECT_NEAR(ratio / start.speed_ratio, 1.0, 0.003) << start.tau;
  }
}

TEST(SzymanskiRig, QuasiSteadyFrictionIsToldApart) {
  const auto result = published::run_setup(
      "column_start", {"record.every=\"2 us\"", "solver.friction=\"quasi-steady\""});
  EXPECT_NEAR(ratio_at(result, 0.004), 1.0 - std::exp(-0.08), 1e-4);
}

}  // namespace
