// A column of liquid starts from rest under a constant pressure gradient: wall friction alone, no
// waves to be seen.
//
// Source   P. Szymanski 1932 (from memory): V/Vinf = 1 - 32 sum exp(-l_n^2 tau) / l_n^4, l_n zeros
//          of J0; table computed outside this program from that series. Quasi-steady friction
//          would give 1 - exp(-8 tau): 0.0769 at 0.01 and 0.5507 at 0.1, so the test tells the
//          models apart.
#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "model/fluid/line.h"

namespace model {
namespace {

struct Start {
  double tau;
  double speed_ratio;
};
const std::vector<Start> kTable{{.001, .00762341}, {.005, .03584572}, {.01, .06837034},
                                {.02, .12759399},  {.05, .27582087},  {.1, .46175446},
                                {.2, .69897214},   {.3, .83121127},   {.5, .94690998}};

// A line of two cells whose transit is 1e-6 of the viscous time r^2 / nu: a thousandth of the
// table's first instant.
std::vector<double> start_up(WallFriction friction) {
  const double radius_m = 2e-3;
  const Liquid liquid{.density_kgpm3 = 1000.0, .viscosity_pas = 10e-3};
  const double viscous_s = radius_m * radius_m * liquid.density_kgpm3 / liquid.viscosity_pas;
  const double step_s = 0.5e-6 * viscous_s;
  const Line line{
      .length_m = 0.6, .bore_m = 2.0 * radius_m, .wave_speed_mps = 0.6 / (2.0 * step_s)};
  const auto plan = make_line_plan(line, liquid,
                                   {.cells = 2,
                                    .stations = 1,
                                    .step_s = step_s,
                                    .friction = friction,
                                    .kernel = published_kernel()});
  const double push_pa = 1e4;
  const double steady_m3ps = push_pa / laminar_resistance_paspm3(line, liquid);
  auto state = still_line(plan, 0.0);
  std::vector<double> ratios;
  double flow_m3ps = 0.0;
  for (long step = 1; ratios.size() < kTable.size(); ++step) {
    const auto waves = arrivals(plan, state);
    depart(plan, state,
           {.at_inlet_pa = 2.0 * push_pa - waves.at_inlet_pa, .at_outlet_pa = -waves.at_outlet_pa});
    // Mean over one round trip (4 steps): the staircase of the waves goes out of it.
    flow_m3ps += 0.25 * (state.flow_m3ps[0] - flow_m3ps);
    if (static_cast<double>(step) * 0.5e-6 >= kTable[ratios.size()].tau)
      ratios.push_back(flow_m3ps / steady_m3ps);
  }
  return ratios;
}

TEST(Szymanski, TheColumnStartsAsTheSeriesSays) {
  const auto ratios = start_up(WallFriction::kUnsteady);
  for (std::size_t i = 0; i < kTable.size(); ++i)
    EXPECT_NEAR(ratios[i], kTable[i].speed_ratio, 1e-3) << "tau " << kTable[i].tau;
}

TEST(Szymanski, QuasiSteadyFrictionStartsFasterAndIsToldApart) {
  const auto ratios = start_up(WallFriction::kQuasiSteady);
  EXPECT_NEAR(ratios[2], 0.0769, 1e-4);
  EXPECT_NEAR(ratios[5], 0.5507, 1e-4);
}

}  // namespace
}  // namespace model
