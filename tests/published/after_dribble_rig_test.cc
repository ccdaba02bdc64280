// What runs out after the valve has shut, on the rig: C (p0 - p_atm) to 1e-8, two-way ends.
// Setups: tests/published/setups/dribble_*.toml.
//
// Source   conservation of mass in a linear elastic tube (after_dribble_test.cc has the table)
#include <gtest/gtest.h>

#include "model/fluid/line.h"
#include "tests/published/rig_setups.h"

namespace {

TEST(AfterDribbleRig, LeavesWhatTheWallHeld) {
  for (const char* setup : {"dribble_linear", "dribble_root"}) {
    const auto result = published::run_setup(setup);
    const model::Line& tube = result.setup.part.tube;
    const model::Liquid& liquid = result.setup.liquid.liquid;
    const double capacity_m3ppa =
        published::area_m2(result) * tube.length_m /
        (liquid.density_kgpm3 * tube.wave_speed_mps * tube.wave_speed_mps);
    const double drop_pa = model::laminar_resistance_paspm3(tube, liquid) * 10e-6;
    const double wanted_m3 = capacity_m3ppa * (2e5 + 0.5 * drop_pa);
    EXPECT_NEAR(result.balance.out_m3 / wanted_m3, 1.0, 1e-8) << setup;
  }
}

}  // namespace
