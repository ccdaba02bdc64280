// Sharp ends and interference of a row's pulses: what must hold for any row, and how a stiff short
// row compares with a soft long one.
#include "sim/study/outlet/outlet_pulses.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>

#include "sim/study/outlet/outlet_part.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

sim::outlet::PulseFigures figures_of(const sim::scenario::Scenario& scenario,
                                     std::vector<double> rates_hz) {
  const double flow_m3ps =
      scenario.rate.in_band_m3pm2 * scenario.row.width_m * scenario.travel.speed_mps;
  return sim::outlet::pulse_figures(scenario, sim::tune::pressure_for_flow_pa(scenario, flow_m3ps),
                                    rates_hz);
}

}  // namespace

TEST(OutletPulses, PulseRisesFallsAndShuts) {
  const sim::outlet::PulseFigures figures = figures_of(sim_test::quiet_demo(), {});
  EXPECT_GT(figures.alone.rise_s, 0.0);
  EXPECT_LT(figures.alone.rise_s, 5e-3);
  EXPECT_GT(figures.alone.fall_s, 0.0);
  EXPECT_GT(figures.alone.tail_s, 0.0);
  EXPECT_GE(figures.alone.secondary_ratio, 0.0);
  EXPECT_LT(figures.alone.secondary_ratio, 0.1);
  EXPECT_GE(figures.largest_void_m3, figures.void_at_rest_m3);
}

// Speed and on time of a rate by hand: 0.15 m apart, band 60 mm, 16 km/h. 20 Hz: 3 m/s, on for 20
// ms. 60 Hz: 4.444 m/s (not 9), on for half of the period, 0.5/60 = 8.333 ms (not 13.5).
TEST(OutletPulses, RateHasItsSpeedAndOnTime) {
  const sim::outlet::PulseFigures figures = figures_of(sim_test::quiet_demo(), {20.0, 60.0});
  ASSERT_EQ(figures.rates.size(), 2u);
  EXPECT_NEAR(figures.rates[0].speed_mps, 3.0, 1e-12);
  EXPECT_NEAR(figures.rates[0].on_time_s, 20e-3, 1e-12);
  EXPECT_NEAR(figures.rates[1].speed_mps, 160.0 / 36.0, 1e-12);
  EXPECT_NEAR(figures.rates[1].on_time_s, 8.3333e-3, 1e-7);
  EXPECT_NEAR(
      figures.rates[1].change_m(),
      std::max(figures.rates[1].lead_change_s, figures.rates[1].lag_change_s) * 160.0 / 36.0,
      1e-15);
  EXPECT_GE(figures.interference_m(), figures.rates[1].change_m());
}

// Two pulses a second: all slosh has died, so the train's pulses equal the single pulse.
TEST(OutletPulses, FarApartPulsesDoNotKnowOfEachOther) {
  const sim::outlet::PulseFigures figures = figures_of(sim_test::quiet_demo(), {2.0});
  EXPECT_LT(figures.interference_m(), 0.2e-3);
  EXPECT_LT(figures.dose_change_ratio(), 2e-3);
}

// A thin soft tube three times as long stores more and rings longer.
TEST(OutletPulses, SoftLongTubeHasDullerEndsThanAStiffShortOne) {
  const sim::scenario::Scenario scenario = sim_test::quiet_demo();
  sim::outlet::OutletPart soft = sim::outlet::part_of(scenario);
  soft.tube_length_m *= 3.0;
  soft.tube_wall = "plasticised PVC";
  const sim::outlet::PulseFigures stiff = figures_of(scenario, {40.0});
  const sim::outlet::PulseFigures slack =
      figures_of(sim::outlet::with_part(scenario, soft), {40.0});
  // The pulse may never reach 90 %: then it has no rise at all.
  EXPECT_TRUE(std::isnan(slack.alone.rise_s) || slack.alone.rise_s > stiff.alone.rise_s);
  EXPECT_GT(slack.interference_m(), stiff.interference_m());
}
