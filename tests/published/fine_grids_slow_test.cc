// The published cases on fine grids: the error that is left when the step is small.
//
// Source   as line_time_table_test.cc, frequency_response_test.cc and cavity_test.cc; here the
//          tolerances are those that a grid of 400 to 800 cells must reach: a tenth of those there
#include <gtest/gtest.h>

#include <cmath>
#include <complex>

#include "model/fluid/line.h"
#include "tests/published/rig_setups.h"

namespace {

using published::run_setup;

// h at .25 .5 .99 1.5 2.5 .. 7.5 T, exact theory (line_time_table_test.cc).
const std::vector<double> kOil{1.06880343,  1.09945334, 1.14430702,  -.775952112, .780131096,
                               -.522022938, .525185823, -.301912395, .321673926,  -.12845263};

TEST(FineGrids, LaminarStop) {
  for (const int cells : {100, 200, 400, 800}) {
    const double step_s = 36.09 / 1324.36 / cells;
    const auto result =
        run_setup("stop_oil", {"solver.step=\"" + std::to_string(step_s * 1e9) + " ns\""});
    const model::Line& tube = result.setup.part.tube;
    const double flow_m3ps = 5e-6;
    const double height_pa = 1000.0 * tube.wave_speed_mps * flow_m3ps / published::area_m2(result);
    const double drop_pa =
        model::laminar_resistance_paspm3(tube, result.setup.liquid.liquid) * flow_m3ps;
    double worst_ratio = 0.0;
    for (std::size_t i = 0; i < kOil.size(); ++i)
      worst_ratio =
          std::max(worst_ratio,
                   std::abs((drop_pa - result.series.inlet_pressure_pa[i]) / height_pa - kOil[i]));
    printf("stop_oil, %d cells: worst of ten instants %.6f of rho a V0\n", cells, worst_ratio);
    if (cells >= 400) {
      EXPECT_LE(worst_ratio, 0.0005) << cells;
    }
  }
}

TEST(FineGrids, CollapseOfACavity) {
  for (const double step_us : {40.0, 20.0, 10.0, 5.0, 2.5}) {
    const auto result =
        run_setup("cavity", {"solver.step=\"" + std::to_string(step_us) + " us\"",
                             "record.every=\"0.5 us\"", "record.duration=\"24 ms\""});
    double collapse_s = 0.0;
    for (std::size_t i = 0; i < result.series.time_s.size(); ++i)
      if (result.series.valve_cavity_m3[i] > 0.0) collapse_s = result.series.time_s[i];
    printf("cavity r 2.5, step %.1f us: collapse off by %.2f us\n", step_us,
           (collapse_s - 2.4 * 8e-3) * 1e6);
    EXPECT_NEAR(collapse_s, 2.4 * 8e-3, 1.01 * step_us * 1e-6 + 0.5e-6);
  }
}

// One dense pulse with impacts: the centroid moves by less than a tenth of the fast form's limit
// when the step is halved again and again.
TEST(FineGrids, PulseWithImpacts) {
  double before_mm = 0.0;
  for (const char* step : {"10 us", "5 us", "2.5 us", "1.25 us"}) {
    const auto result = sim::rig::run_rig(
        sim::rig::load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_rig.toml",
                                 {std::string("solver.step=\"") + step + "\"", "solver.dense=true",
                                  "record.every=\"1 ms\""}));
    const double centroid_mm = result.pulses[2].centroid_x_m * 1e3;
    printf("third pulse of the demo rig, dense, step %s: centroid %.4f mm\n", step, centroid_mm);
    if (before_mm != 0.0) {
      EXPECT_NEAR(centroid_mm, before_mm, 0.015) << step;
    }
    before_mm = centroid_mm;
  }
}

}  // namespace
