// One valve driven on its bench: what each pulse did, compared with the same run recorded by steps.
#include "sim/study/rig/valve_drive.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sim/scenario/loader.h"

namespace sim::rig {
namespace {

RigSetup demo(const std::vector<std::string>& sets = {}) {
  return load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml", sets);
}

std::vector<bench::PulseCommand> one(double on_s) { return {{1e-3, 1e-3 + on_s}}; }

// A landing falls between the steps in which the lift arrives; the record of steps shows no more.
TEST(ValveDrive, InstantsAreThoseOfTheSteps) {
  const RigSetup setup = demo();
  ValveHistory history;
  const TimedPulse pulse =
      drive_valve(setup, conditions_of(setup), one(16.9e-3), 0.05, nullptr, &history)[0];
  const double travel_m = setup.part.valve.plunger.travel_m;
  const auto first_above = [&](double lift_m, double from_s) {
    for (std::size_t k = 0; k < history.time_s.size(); ++k)
      if (history.time_s[k] > from_s && history.lift_m[k] >= lift_m) return history.time_s[k];
    return -1.0;
  };
  EXPECT_NEAR(1e-3 + pulse.first_motion_s, first_above(1e-12, 0.0), 10e-6);
  EXPECT_NEAR(1e-3 + pulse.at_stop_s, first_above(0.995 * travel_m, 0.0), 15e-6);
  double seated_s = -1.0;
  for (std::size_t k = 1; k < history.time_s.size() && seated_s < 0.0; ++k)
    if (history.time_s[k] > 17.9e-3 && history.lift_m[k] <= 0.005 * travel_m)
      seated_s = history.time_s[k];
  EXPECT_NEAR(17.9e-3 + pulse.seated_s, seated_s, 15e-6);
  EXPECT_GT(pulse.left_stop_s, 0.0);
  EXPECT_LT(pulse.left_stop_s, pulse.seated_s);
}

TEST(ValveDrive, TheDoseIsWhatLeavesTheOutlet) {
  const RigSetup setup = demo({"valve.wear.gap_at_life=\"0 mm\""});
  ValveHistory history;
  const TimedPulse pulse =
      drive_valve(setup, conditions_of(setup), one(10e-3), 0.2, nullptr, &history)[0];
  double out_m3 = 0.0;
  for (std::size_t k = 1; k < history.time_s.size(); ++k)
    out_m3 += history.outlet_flow_m3ps[k] * (history.time_s[k] - history.time_s[k - 1]);
  EXPECT_NEAR(pulse.dose_m3, out_m3, 1e-4 * out_m3);
}

TEST(ValveDrive, APulseTooShortNeverArrives) {
  const RigSetup setup = demo();
  const TimedPulse pulse = drive_valve(setup, conditions_of(setup), one(0.3e-3), 0.05)[0];
  EXPECT_TRUE(std::isnan(pulse.at_stop_s));
  const TimedPulse partly = drive_valve(setup, conditions_of(setup), one(0.7e-3), 0.05)[0];
  EXPECT_TRUE(std::isfinite(partly.first_motion_s));
}

// Freewheeling through a diode lets the current down more slowly than the supply against it.
TEST(ValveDrive, SlowDecayClosesLater) {
  const RigSetup slow = demo(), fast = demo({"drive.decay=\"fast\""});
  const double slow_s = drive_valve(slow, conditions_of(slow), one(10e-3), 0.05)[0].seated_s;
  const double fast_s = drive_valve(fast, conditions_of(fast), one(10e-3), 0.05)[0].seated_s;
  EXPECT_GT(slow_s, fast_s + 0.2e-3);
}

// Held at rest the coil's force carries preload, spring and pressure: below the lift-off current
// nothing moves. F0 + A_s p = 4 N + pi/4 (4 mm)^2 3 bar = 7.770 N, over 5 N/A: 1.554 A.
TEST(ValveDrive, LiftOffIsWhereForcesBalance) {
  const RigSetup setup = demo({"valve.wear.gap_at_life=\"0 mm\""});
  EXPECT_EQ(held_lift(setup, conditions_of(setup), 1.54).lift_m, 0.0);
  EXPECT_GT(held_lift(setup, conditions_of(setup), 1.57).lift_m, 0.0);
}

}  // namespace
}  // namespace sim::rig
