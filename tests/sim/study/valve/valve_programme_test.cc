// The standard programme of a valve: what must hold for any of its results.
#include "sim/study/valve/valve_programme.h"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/scenario/loader.h"
#include "sim/study/valve/valve_bursts.h"
#include "tests/support/linear_coil.h"

namespace sim::valve {
namespace {

rig::RigSetup demo(const std::vector<std::string>& sets = {}) {
  return rig::load_rig_setup(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_valve.toml", sets);
}

const ValveProgramme& programme() {
  static const ValveProgramme result = run_valve_programme(demo());
  return result;
}

TEST(ValveProgramme, TheStraightPartIsStraight) {
  ASSERT_TRUE(programme().line.found);
  EXPECT_GT(programme().line.r2_ratio, 0.999);
  EXPECT_LE(programme().line.worst_ratio, programme().setup.programme.linear_error_ratio);
  EXPECT_LE(programme().shortest_passing_s, programme().line.from_s);
}

// The open valve passes the steady flow, so a wider pulse adds just that: R2 and slope.
TEST(ValveProgramme, ItsSlopeIsTheSteadyFlow) {
  EXPECT_NEAR(programme().line.slope_m3ps, programme().steady_m3ps, 0.01 * programme().steady_m3ps);
}

TEST(ValveProgramme, ThePlungerIsSeatedAfterTheShortestClosedTimeAndNotBefore) {
  const ValveProgramme& p = programme();
  const double on_s = p.setup.drive.on_time_s;
  const auto seated = [&](double gap_s) {
    return std::isfinite(rig::drive_valve(p.setup, rig::conditions_of(p.setup),
                                          even_train(on_s, on_s + gap_s, 2), 0.0)[0]
                             .seated_s);
  };
  EXPECT_TRUE(seated(p.shortest_closed_s + 20e-6));
  EXPECT_FALSE(seated(p.shortest_closed_s - 20e-6));
}

TEST(ValveProgramme, LiftThatSnapsHasNoStepBetween) {
  ASSERT_FALSE(programme().lift.settable);
  for (const rig::HeldLift& held : programme().lifts)
    EXPECT_TRUE(held.lift_m < 0.01 * 0.8e-3 || held.lift_m > 0.99 * 0.8e-3) << held.current_a;
}

TEST(ValveProgramme, AStiffSpringLetsTheCurrentSetTheLift) {
  const ValveProgramme p = run_valve_programme(demo(support::with_linear_coil(
      {"valve.plunger.spring_rate=\"20 N/mm\"", "valve.coil.force_constant=\"12 N/A\"",
       "programme.repetitions=[\"10 Hz\"]", "programme.pulses=4"})));
  ASSERT_TRUE(p.lift.settable);
  int between = 0;
  for (const rig::HeldLift& held : p.lifts)
    between += held.lift_m > 0.05 * 0.8e-3 && held.lift_m < 0.95 * 0.8e-3 ? 1 : 0;
  EXPECT_GE(between, 3);
}

TEST(ValveProgramme, AWornPairLeaksAndItsSmallestDoseGrows) {
  const std::vector<std::string> few = {"programme.repetitions=[\"10 Hz\"]", "programme.pulses=4"};
  std::vector<std::string> worn_sets = few;
  worn_sets.push_back("valve.wear.cycles=60e6");
  worn_sets.push_back("valve.wear.gap_at_life=\"60 um\"");
  const ValveProgramme fresh = run_valve_programme(demo(few)),
                       worn = run_valve_programme(demo(worn_sets));
  EXPECT_GT(worn.leak_m3ps, 10.0 * fresh.leak_m3ps);
  const double period_s = fresh.setup.drive.period_s;
  EXPECT_GT(worn.smallest_m3,
            fresh.smallest_m3 + 0.5 * period_s * (worn.leak_m3ps - fresh.leak_m3ps));
  EXPECT_GT(worn.used_ratio, 1.0);
  EXPECT_EQ(worn.left.cycles_ratio, 0.0);
}

TEST(ValveProgramme, WhatCannotBeCheckedIsSaid) {
  const auto refusal = [](const std::string& file, const std::vector<std::string>& sets) {
    try {
      run_valve_programme(rig::load_rig_setup(std::string(SILLION_SOURCE_DIR) + file, sets));
    } catch (const text::InputError& error) {
      return std::string(error.what());
    }
    return std::string();
  };
  EXPECT_NE(refusal("/scenarios/demo_valve.toml", {"valve.coil.supply=\"0.1 V\""})
                .find("the valve cannot open: its coil reaches 0.025 A at 0.1 V and needs"),
            std::string::npos);
  EXPECT_NE(
      refusal("/scenarios/demo_valve.toml", {"drive.on_time=\"50 us\""}).find("drive.on_time"),
      std::string::npos);
  EXPECT_NE(refusal("/scenarios/demo_valve.toml", {"drive.on_time=\"2 s\"", "drive.period=\"3 s\""})
                .find("drive.on_time"),
            std::string::npos);
  EXPECT_NE(refusal("/scenarios/demo_valve.toml", {"drive.period=\"100 s\""}).find("drive.pulses"),
            std::string::npos);
  EXPECT_NE(refusal("/tests/published/setups/stop_oil.toml", {}).find("[inlet]"),
            std::string::npos);
}

}  // namespace
}  // namespace sim::valve
