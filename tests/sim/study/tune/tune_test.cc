#include "sim/study/tune/tune.h"

#include <gtest/gtest.h>

#include <cmath>

#include "model/row/row_unit.h"
#include "sim/bench/pulse_train.h"
#include "sim/bench/row_fixed.h"
#include "tests/sim/demo_scenario.h"

namespace {

using sim_test::quiet_demo;

// At constant speed a geared belt is all distance: b = path/gear + offset - B/2 = 120 + 60 - 30
// mm less the throw of the jet, a = -T_lead without the throw.
TEST(Tune, AGearedBeltGivesADistanceAndTheLeadAsTime) {
  const sim::tune::TunedTable tuned = sim::tune::tune(quiet_demo());
  EXPECT_NEAR(tuned.delay_distance_m, 0.150 - tuned.throw_m, 1e-9);
  EXPECT_NEAR(tuned.delay_time_s, -(tuned.lead_s - tuned.throw_m / (16.0 / 3.6)), 1e-12);
  EXPECT_NEAR(tuned.smallest_offset_m, 0.030 + (16.0 / 3.6) * tuned.lead_s - 0.120, 1e-9);
}

// A jet that leaves 21 degrees backwards 40 mm above the floor goes 40 mm * tan 21 = 15.35 mm back
// in a straight line; its fall gains g t = 0.04 of 9 m/s on the way, which takes off 0.2 %.
TEST(Tune, TheThrowOfARakedJetIsItsStraightLine) {
  const sim::tune::TunedTable tuned = sim::tune::tune(quiet_demo());
  EXPECT_NEAR(tuned.throw_m, -0.01535, 0.0001);
  auto straight = quiet_demo();
  straight.attachment.jet.aim_rad = 0.0;
  EXPECT_EQ(sim::tune::tune(straight).throw_m, 0.0);
}

TEST(Tune, TheSmallestOffsetIsWhereTheDelayIsZero) {
  const auto scenario = quiet_demo();
  const double offset_m = sim::tune::tune(scenario).smallest_offset_m;
  auto at_limit = scenario;
  at_limit.attachment.outlet_offset_m = offset_m;
  EXPECT_NEAR(sim::tune::tune(at_limit).delay_at_speed_s, 0.0, 1e-7);
}

TEST(Tune, PressureForAFlowIsTheInverseOfTheSteadyFlow) {
  const auto scenario = quiet_demo();
  const auto row = sim::bench::nominal_liquid_path(scenario);
  for (const double flow_m3ps : {5e-6, 15e-6, 25e-6}) {
    const double pressure_pa = sim::tune::pressure_for_flow_pa(scenario, flow_m3ps);
    EXPECT_NEAR(model::steady_flow_m3ps(row, pressure_pa, row.valve.plunger.travel_m), flow_m3ps,
                1e-9 * 25e-6);
  }
}

// Below about 6.5 km/h this outlet would need less pressure than the regulator can keep: two points
// of one pressure would leave the firmware, which reads lead by pressure, with the wrong one.
TEST(Tune, PressureRisesFromPointToPointOfTheTable) {
  for (const char* speed : {"6 km/h", "16 km/h"}) {
    const auto table =
        sim::tune::tune(quiet_demo({"travel.speed=\"" + std::string(speed) + "\""})).table;
    for (int k = 1; k < table.points; ++k) {
      EXPECT_GT(table.pressure_pa[k], table.pressure_pa[k - 1]);
      EXPECT_GT(table.flow_mm3ps[k], table.flow_mm3ps[k - 1]);
    }
  }
}

TEST(Tune, ARateBeyondFullPressureIsSaid) {
  auto scenario = quiet_demo();
  scenario.rate.in_band_m3pm2 *= 4.0;
  const sim::tune::TunedTable tuned = sim::tune::tune(scenario);
  EXPECT_FALSE(tuned.serves_rate);
  EXPECT_EQ(tuned.pressure_pa, scenario.supply.pressure_pa);
}

TEST(Tune, AnIdealRowHasTheLeadAndLagThatItWasGiven) {
  const sim::tune::TunedTable tuned =
      sim::tune::tune(quiet_demo({"row.physics=ideal", "row.opening_delay=\"2 ms\"",
                                  "row.closing_delay=\"1.5 ms\"", "row.flight_time=\"4 ms\""}));
  EXPECT_NEAR(tuned.lead_s, 6e-3, 1e-12);
  EXPECT_NEAR(tuned.lag_s, 5.5e-3, 1e-12);
}

// A longer on time moves the end and leaves the start: dose rises by flow times the difference
// (affine dose curve).
TEST(PulseTrain, DoseIsAffineInTheOnTime) {
  const auto scenario = quiet_demo();
  const auto row = sim::bench::nominal_liquid_path(scenario);
  sim::bench::PulseTrain train;
  train.pressure_pa = 2e5;
  double dose_m3[3];
  for (int k = 0; k < 3; ++k) {
    train.on_time_s = 20e-3 + 10e-3 * k;
    dose_m3[k] = sim::bench::run_train(row, scenario.solver, train)[0].band.dose_m3;
  }
  EXPECT_NEAR(dose_m3[2] - dose_m3[1], dose_m3[1] - dose_m3[0], 0.01 * (dose_m3[1] - dose_m3[0]));
  const double steady_m3ps = model::steady_flow_m3ps(row, 2e5, row.valve.plunger.travel_m);
  EXPECT_NEAR(dose_m3[2] - dose_m3[1], steady_m3ps * 10e-3, 0.02 * steady_m3ps * 10e-3);
}

// The gap that the table states is the smallest at which the plunger seats between two commands:
// with a little more it does, with a little less it does not. The gap is never below the time in
// which the coil's current falls at all, and so never the step of the search.
TEST(Tune, TheShortestClosedTimeIsTheGapInWhichThePlungerSeats) {
  const sim::scenario::Scenario scenario = sim_test::quiet_demo({"row.physics=full"});
  const sim::tune::TunedTable tuned = sim::tune::tune(scenario);
  const model::RowUnitParams row = sim::bench::nominal_liquid_path(scenario);
  const auto least_lift_m = [&](double gap_s) {
    sim::bench::PulseTrain train;
    train.pressure_pa = tuned.pressure_pa;
    train.voltage_v = scenario.supply.voltage_v;
    train.current_limit_a = scenario.attachment.hold_current_a;
    train.jet = scenario.attachment.jet;
    train.pulses = 2;
    train.on_time_s = 10e-3;
    train.period_s = train.on_time_s + gap_s;
    train.least_gap_s = 0.0;
    return sim::bench::run_train(row, scenario.solver, train).front().least_lift_after_m;
  };
  const double travel_m = row.valve.plunger.travel_m;
  EXPECT_GT(tuned.shortest_closed_s, 0.1e-3);
  EXPECT_LE(least_lift_m(tuned.shortest_closed_s + 50e-6), 0.01 * travel_m);
  EXPECT_GT(least_lift_m(tuned.shortest_closed_s - 50e-6), 0.01 * travel_m);
}

}  // namespace
