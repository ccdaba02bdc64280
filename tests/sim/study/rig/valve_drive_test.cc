// One valve driven on its bench: what each pulse did, compared with the same run recorded by steps.
#include "sim/study/rig/valve_drive.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sim/scenario/loader.h"
#include "tests/support/linear_coil.h"

namespace sim::rig {
namespace {

RigSetup demo(const std::vector<std::string>& sets = {}) {
  return load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml",
                        support::with_linear_coil(sets));
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

// The lift verdict against the row's own motion: 30 N/mm exceed what pressure and flow ask for, yet
// under a short gap the magnet's pull grows faster and the plunger snaps, under a long one not. The
// first lifts are settable under the short gap too, because its pull is still small there.
TEST(ValveDrive, ThePullThatGrowsDecidesWhetherACurrentSetsTheLift) {
  const auto lifts_between = [](const char* gap, const char* inductance, bool settable) {
    const RigSetup setup =
        demo({"valve.coil.force_law=\"reluctance\"", "valve.coil.saturation=\"0 Wb\"",
              "valve.coil.half_current=\"0 A\"", "valve.coil.leakage=\"0 mH\"",
              "valve.coil.eddy_resistance=\"0 ohm\"", std::string("valve.coil.gap=\"") + gap + "\"",
              std::string("valve.coil.inductance=\"") + inductance + "\"",
              "valve.plunger.spring_rate=\"30 N/mm\"", "valve.coil.supply=\"24 V\"",
              "valve.coil.current_limit=\"5 A\""});
    const model::RowUnitParams row = row_of(setup);
    const model::LiftVerdict verdict = model::lift_verdict(row, setup.supply_pa);
    EXPECT_EQ(verdict.settable, settable) << verdict.spring_rate_needed_npm;
    EXPECT_LT(verdict.spring_rate_needed_npm - verdict.magnet_npm, verdict.spring_rate_npm);
    const double travel_m = row.valve.plunger.travel_m;
    const double opens_a = opening_current(setup).needed_a;
    int between = 0;
    for (int k = 0; k < 20; ++k) {
      const double current_a = (1.02 + 0.03 * k) * opens_a;
      const double lift_m = held_lift(setup, conditions_of(setup), current_a).lift_m;
      between += lift_m > 0.5 * travel_m && lift_m < 0.95 * travel_m ? 1 : 0;
    }
    return between;
  };
  EXPECT_EQ(lifts_between("1.6 mm", "14 mH", false), 0);
  EXPECT_GE(lifts_between("10 mm", "90 mH", true), 2);
}

}  // namespace
}  // namespace sim::rig
