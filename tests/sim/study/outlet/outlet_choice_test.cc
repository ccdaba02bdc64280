// Which parts are dropped, which one is recommended, and what is said where none works; the parts
// are made up here.
#include "sim/study/outlet/outlet_choice.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "tests/sim/demo_scenario.h"

namespace {

using ::testing::HasSubstr;

struct Made {
  double shift_m = 1e-3;
  double tail_s = 1e-3;
  double pressure_ratio = 1.4;
  double jet_ratio = 1.8;
  double plugging_ratio = 3.5;
  double refill_m = 3e-3;
  int changes = 1;
};

sim::outlet::OutletCandidate made(const Made& figures) {
  sim::outlet::OutletCandidate one;
  one.pulsed = true;
  one.changes = figures.changes;
  one.pressure_ratio = figures.pressure_ratio;
  one.pressure_pa = 2e5;
  one.jet_margin_ratio = figures.jet_ratio;
  one.plugging_ratio = figures.plugging_ratio;
  one.full.holds = true;
  one.full.stop.refill_m = figures.refill_m;
  one.pulses.worst.rise_s = 0.0;
  one.pulses.worst.tail_s = figures.tail_s;
  one.pulses.rates = {{.rate_hz = 30.0, .speed_mps = 4.0, .lead_change_s = figures.shift_m / 4.0}};
  return one;
}

sim::outlet::OutletResult chosen(const std::vector<Made>& figures) {
  sim::outlet::OutletResult result;
  result.scenario = sim_test::quiet_demo();
  result.speed_mps = 4.0;
  result.flow_m3ps = 16e-6;
  for (const Made& one : figures) {
    result.candidates.push_back(made(one));
    sim::outlet::judge_demands(result.scenario, result.candidates.back());
  }
  sim::outlet::choose(result);
  return result;
}

}  // namespace

TEST(OutletChoice, PartThatIsNowhereBetterIsDropped) {
  const sim::outlet::OutletResult result =
      chosen({{}, {.shift_m = 2e-3}, {.shift_m = 2e-3, .tail_s = 0.0}});
  EXPECT_TRUE(result.candidates[0].pareto);
  EXPECT_FALSE(result.candidates[1].pareto);
  EXPECT_TRUE(result.candidates[2].pareto);  // sharper ends: a trade, so it stays
}

TEST(OutletChoice, WhatIsEnoughCountsNoFurther) {
  const sim::outlet::OutletResult result = chosen({{.pressure_ratio = 1.6, .plugging_ratio = 4.5},
                                                   {.pressure_ratio = 3.0, .plugging_ratio = 9.0}});
  EXPECT_TRUE(result.candidates[0].pareto);
  EXPECT_TRUE(result.candidates[1].pareto);
}

TEST(OutletChoice, DifferenceThatNobodyTellsApartIsNone) {
  const sim::outlet::OutletResult result =
      chosen({{.shift_m = 1.00e-3, .plugging_ratio = 3.0}, {.shift_m = 0.98e-3}});
  EXPECT_FALSE(result.candidates[0].pareto);  // 0.02 mm does not outweigh the narrower bore
}

// Both are on the list, because the second has the narrower bore. Cost in mm: 1.0 + 2.0 + 0.25 for
// one change against 0.9 + 2.0 + 0.75 for three changes, then 0.4 + 2.0 + 0.75.
TEST(OutletChoice, ChangeMustBeWorthItsPrice) {
  const auto against = [](double shift_m) {
    return chosen({{}, {.shift_m = shift_m, .plugging_ratio = 3.0, .changes = 3}}).recommended;
  };
  EXPECT_EQ(against(0.9e-3), 0);
  EXPECT_EQ(against(0.4e-3), 1);
}

// A pulse that never reaches 90 % of its steady flow has no rise; its ends are the dullest of all.
TEST(OutletChoice, PulseWithoutARiseIsNeverRecommended) {
  sim::outlet::OutletResult result = chosen({{}, {.shift_m = 0.1e-3}});
  ASSERT_EQ(result.recommended, 1);
  result.candidates[1].pulses.worst.rise_s = std::nan("");
  sim::outlet::choose(result);
  EXPECT_EQ(result.recommended, 0);
  EXPECT_TRUE(std::isinf(sim::outlet::end_blur_m(result.candidates[1], 4.0)));
}

TEST(OutletChoice, NothingIsRecommendedThatMissesADemand) {
  const sim::outlet::OutletResult result =
      chosen({{.shift_m = 0.1e-3, .plugging_ratio = 1.9}, {.pressure_ratio = 1.05}, {}});
  EXPECT_EQ(result.recommended, 2);
  EXPECT_FALSE(result.candidates[0].works);
  EXPECT_FALSE(result.candidates[1].works);
  EXPECT_FALSE(result.candidates[0].pareto);
}

TEST(OutletChoice, EveryDemandCanFailAlone) {
  sim::outlet::OutletCandidate one = made({});
  const sim::scenario::Scenario scenario = sim_test::quiet_demo();
  const auto fails = [&](sim::outlet::Demand demand, auto spoil) {
    sim::outlet::OutletCandidate spoilt = one;
    spoil(spoilt);
    sim::outlet::judge_demands(scenario, spoilt);
    for (std::size_t k = 0; k < sim::outlet::kDemands; ++k)
      EXPECT_EQ(spoilt.holds[k], k != static_cast<std::size_t>(demand)) << k;
    EXPECT_FALSE(spoilt.works);
  };
  fails(sim::outlet::Demand::kServesRate, [](auto& c) { c.pressure_ratio = 1.0; });
  fails(sim::outlet::Demand::kHoldsPressure, [](auto& c) { c.pressure_pa = 0.1e5; });
  fails(sim::outlet::Demand::kFollows, [](auto& c) { c.pulses.rates[0].follows = false; });
  fails(sim::outlet::Demand::kHoldsLiquid, [](auto& c) { c.full.stop.refill_m = 11e-3; });
  fails(sim::outlet::Demand::kJets, [](auto& c) { c.jet.drips = true; });
  fails(sim::outlet::Demand::kLeavesSeed, [](auto& c) { c.jet.may_move_seed = true; });
  fails(sim::outlet::Demand::kPassesGrit, [](auto& c) { c.plugging_ratio = 1.99; });
}

TEST(OutletChoice, InterferenceHasNoEndWhereARateIsNotFollowed) {
  sim::outlet::OutletCandidate one = made({});
  EXPECT_NEAR(one.pulses.interference_m(), 1e-3, 1e-12);
  one.pulses.rates[0].follows = false;
  EXPECT_TRUE(std::isinf(one.pulses.interference_m()));
}

// The demo's rate through a bore of 0.5 mm: by the orifice law alone at 5 bar/1.1, Q = Cd A sqrt(2
// p/rho) asks for A = 15.84e-6/(0.65 * sqrt(2 * 4.545e5/1395)) = 9.546e-7 m2, d = 1.1025 mm; lines
// and seat take a little more.
TEST(OutletChoice, NearestWorkableBoreServesTheRate) {
  sim::outlet::OutletResult result = chosen({{.pressure_ratio = 0.0}});
  result.flow_m3ps = 15.84e-6;
  result.candidates[0].part = sim::outlet::part_of(result.scenario);
  result.candidates[0].part.bore_m = 0.5e-3;
  ASSERT_EQ(result.recommended, -1);
  const std::string words = sim::outlet::nearest_workable(result);
  EXPECT_THAT(words, HasSubstr("attachment.outlet.bore"));
  const double bore_mm = std::stod(words.substr(words.find('"') + 1));
  EXPECT_GT(bore_mm, 1.10);
  EXPECT_LT(bore_mm, 1.20);
}
