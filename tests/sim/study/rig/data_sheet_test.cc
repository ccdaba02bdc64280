// The demo's valve of a data sheet gives back what the sheet states. It is
// scenarios/demo_data_sheet.toml, worked out as scenarios/manual/valve.md says.
#include <gtest/gtest.h>

#include <cmath>

#include "model/valve/solenoid.h"
#include "shared/units.h"
#include "sim/study/rig/rig_setup.h"

namespace {

model::Valve valve_of_the_sheet() {
  return sim::rig::load_rig_setup(SILLION_SOURCE_DIR "/scenarios/demo_data_sheet.toml").part.valve;
}

// 9.0 mH shut and 13.9 mH at the stop, by a small current.
TEST(DataSheet, InductancesAreTheSheets) {
  const auto valve = valve_of_the_sheet();
  const auto plan = model::make_reluctance_plan(valve.coil);
  constexpr double kSmall_a = 1e-6;
  EXPECT_NEAR(model::linkage_of_current_vs(plan, kSmall_a, 0.0) / kSmall_a, 9.0e-3, 5e-6);
  EXPECT_NEAR(model::linkage_of_current_vs(plan, kSmall_a, 0.5e-3) / kSmall_a, 13.9e-3, 50e-6);
}

// 24 N at most. 0.75 N at 0.5 A shut, where the iron has begun to bend: up to 6 % less.
TEST(DataSheet, PullsAreTheSheets) {
  const auto valve = valve_of_the_sheet();
  EXPECT_NEAR(model::largest_pull_n(valve.coil), 24.0, 0.1);
  const double pull_n = model::pull_of_current_n(valve.coil, 0.5, 0.0);
  EXPECT_LT(pull_n, 0.75);
  EXPECT_GT(pull_n, 0.94 * 0.75);
}

// Kv 0.11 m3/h of water (1000 kg/m3) at 1 bar: Cd A sqrt(2 dp/rho) of the open seat.
TEST(DataSheet, FlowIsTheSheetsKv) {
  const auto seat = valve_of_the_sheet().seat;
  const double flow_m3ps =
      seat.discharge_coefficient_ratio * model::seat_area_m2(seat) * std::sqrt(2.0 * 1e5 / 1000.0);
  EXPECT_NEAR(flow_m3ps * 3600.0, 0.11, 0.0005);
}

}  // namespace
