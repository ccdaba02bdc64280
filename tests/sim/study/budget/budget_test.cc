// The budget on the bench, against kinematics worked by hand: a seed that comes to rest dt later
// lies v dt further on while its band stays, so its error changes by -v dt; an edge that is raised
// dt later moves the band by +v dt and not the seed.
#include "sim/study/budget/budget.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sim/bench/random.h"
#include "sim/statistics/spread.h"
#include "sim/study/tune/strip_trim.h"
#include "sim/study/tune/tune.h"
#include "tests/sim/demo_scenario.h"

namespace {

constexpr double kSpeed_mps = 16.0 / 3.6;

sim::scenario::Scenario ideal_row(const std::vector<std::string>& more) {
  std::vector<std::string> sets = {"row.physics=\"ideal\"", "seeds=120"};
  sets.insert(sets.end(), more.begin(), more.end());
  return sim_test::quiet_demo(sets);
}

const sim::budget::BudgetPart& part(const sim::budget::BudgetResult& result,
                                    const std::string& key) {
  for (const sim::budget::BudgetPart& one : result.parts)
    if (one.key == key) return one;
  ADD_FAILURE() << "no part " << key;
  return result.parts.front();
}

double draw(const sim::budget::BudgetSeed& seed, sim::bench::Purpose purpose) {
  const sim::bench::RandomStream stream{.rng_key = 1, .row = static_cast<std::uint32_t>(seed.row)};
  return stream.normal_ratio(purpose, static_cast<std::uint64_t>(seed.seed));
}

void expect_all_others_are_zero(const sim::budget::BudgetResult& result,
                                const std::vector<std::string>& but) {
  for (const sim::budget::BudgetPart& one : result.parts) {
    if (one.kind == sim::budget::PartKind::kRemains) continue;
    if (std::find(but.begin(), but.end(), one.key) != but.end()) continue;
    EXPECT_NEAR(one.figures.sd_m, 0.0, 2e-5) << one.key;
    EXPECT_NEAR(one.figures.mean_m, 0.0, 2e-5) << one.key;
  }
}

TEST(Budget, OfDeliveryTimeAloneIsSpeedTimesItsScatter) {
  const sim::budget::BudgetResult result =
      sim::budget::run_budget(ideal_row({"delivery.time_scatter=\"1 ms\""}), {.orders = 2});
  ASSERT_EQ(result.seeds.size(), 240u);
  const sim::budget::BudgetPart& delivery = part(result, "delivery_time");
  for (std::size_t k = 0; k < result.seeds.size(); ++k)
    EXPECT_NEAR(delivery.part_m[k],
                -kSpeed_mps * 1e-3 * draw(result.seeds[k], sim::bench::Purpose::kDeliveryTime),
                1e-9);
  // sd of 240 draws: within 4 of its own standard errors, 1/sqrt(2 n)
  EXPECT_NEAR(delivery.figures.sd_m, kSpeed_mps * 1e-3,
              4.0 * kSpeed_mps * 1e-3 / std::sqrt(2.0 * 240.0));
  EXPECT_NEAR(delivery.figures.variance_share_ratio, 1.0, 1e-3);
  expect_all_others_are_zero(result, {"delivery_time"});
  EXPECT_LT(result.interaction.larger_ratio(), 1e-6);
}

// The same with an edge: sensor jitter of 0.5 ms moves the band by v dt, exact to the firmware's
// ticks and the ideal row's step.
TEST(Budget, OfSensorJitterAloneIsTheOtherWayRound) {
  const sim::budget::BudgetResult result =
      sim::budget::run_budget(ideal_row({"sensor.jitter=\"0.5 ms\""}), {.orders = 2});
  ASSERT_GT(result.seeds.size(), 230u);
  const sim::budget::BudgetPart& sensor = part(result, "sensor");
  for (std::size_t k = 0; k < result.seeds.size(); ++k)
    EXPECT_NEAR(sensor.part_m[k],
                kSpeed_mps * 0.5e-3 * draw(result.seeds[k], sim::bench::Purpose::kSensorJitter),
                3e-5);
  expect_all_others_are_zero(result, {"sensor"});
}

TEST(Budget, OfTwoIndependentEffectsAddsInVariance) {
  const sim::budget::BudgetResult result = sim::budget::run_budget(
      ideal_row({"delivery.time_scatter=\"1 ms\"", "delivery.rest_scatter=\"3 mm\"", "seeds=200"}),
      {.orders = 2});
  const sim::budget::BudgetPart& time = part(result, "delivery_time");
  const sim::budget::BudgetPart& bounce = part(result, "seed_bounce");
  for (std::size_t k = 0; k < result.seeds.size(); ++k)
    EXPECT_NEAR(bounce.part_m[k], -3e-3 * draw(result.seeds[k], sim::bench::Purpose::kRestPlace),
                1e-9);
  // (v sigma_t)^2 + sigma_x^2 = 4.444^2 + 3^2 mm2, of 400 draws to 4 standard errors of a variance
  const double by_hand_m2 = kSpeed_mps * kSpeed_mps * 1e-6 + 9e-6;
  EXPECT_NEAR(result.error.sd_m * result.error.sd_m, by_hand_m2,
              4.0 * by_hand_m2 * std::sqrt(2.0 / 400.0));
  EXPECT_NEAR(time.figures.variance_share_ratio + bounce.figures.variance_share_ratio, 1.0, 1e-3);
  EXPECT_LT(result.interaction.larger_ratio(), 1e-6);
}

// A mount that sits further forward carries every band of its row forward by the same distance.
TEST(Budget, OfAMountIsAFixedOffsetOfEachRow) {
  const sim::budget::BudgetResult result = sim::budget::run_budget(
      ideal_row({"noise.outlet_mount=\"3 mm\"", "seeds=30"}), {.orders = 2});
  const sim::budget::BudgetPart& jet = part(result, "jet");
  EXPECT_NEAR(jet.figures.sd_within_rows_m, 0.0, 1e-9);
  for (std::size_t k = 0; k < result.seeds.size(); ++k) {
    const sim::bench::RandomStream stream{.rng_key = 1,
                                          .row = static_cast<std::uint32_t>(result.seeds[k].row)};
    EXPECT_NEAR(jet.part_m[k], 3e-3 * stream.normal_ratio(sim::bench::Purpose::kOutletMount, 0),
                1e-9);
  }
}

// With a strip test the mount is trimmed out: perfect mounts would not make the pass any better.
TEST(Budget, WhatATrimTakesOutIsNoPartOfTheError) {
  const sim::budget::BudgetResult result = sim::budget::run_budget(
      ideal_row({"noise.outlet_mount=\"3 mm\"", "seeds=30", "controller.row_trim=true",
                 "controller.strip_test_bands=20"}),
      {.orders = 2});
  EXPECT_NEAR(part(result, "jet").figures.sd_m, 0.0, 1e-6);
  const sim::budget::BudgetPart& reading = part(result, "strip_reading");
  EXPECT_EQ(reading.kind, sim::budget::PartKind::kEffect);
  // tape error 1 mm / sqrt(20), its sign turned, the same for all seeds of a row
  for (std::size_t k = 0; k < result.seeds.size(); ++k) {
    const sim::bench::RandomStream stream{
        .rng_key = 1, .row = static_cast<std::uint32_t>(result.seeds[k].row), .pass = 1};
    EXPECT_NEAR(
        reading.part_m[k],
        -1e-3 / std::sqrt(20.0) * stream.normal_ratio(sim::bench::Purpose::kStripReading, 0), 5e-6);
  }
}

// With the liquid at rest before every pulse an irregular train scatters no more, while the same
// train with its slosh does. The tuned mean is kept.
TEST(BudgetSlow, AStillColumnForgetsEarlierPulses) {
  const sim::scenario::Scenario scenario =
      sim_test::quiet_demo({"seeding.scatter=\"12 %\"", "seeds=80", "solver.step=\"10 us\""});
  const sim::budget::BudgetResult result = sim::budget::run_budget(scenario, {.orders = 2});
  EXPECT_EQ(part(result, "column").kind, sim::budget::PartKind::kEffect);
  const double slosh_m = result.error.sd_m;
  EXPECT_GT(slosh_m, 1e-4);
  EXPECT_LT(part(result, "remains").figures.sd_within_rows_m, 0.05 * slosh_m);
  EXPECT_LT(std::abs(part(result, "remains").figures.mean_m), 5e-4);
  // seed scatter acts through the column only: with the column still, nothing of it is left but
  // where in a step of the plant (0.1 ms, 0.4 mm of travel) each pulse falls
  EXPECT_LT(part(result, "seed_scatter").figures.present_sd_m, 0.1e-3);
}

TEST(Budget, PartsOfEverySeedSumToItsErrorAndSharesToOne) {
  const sim::budget::BudgetResult result = sim::budget::run_budget(
      sim_test::demo({"seeds=30", "row.count=2", "controller.row_trim=false"}), {.orders = 2});
  ASSERT_GT(result.seeds.size(), 40u);
  for (std::size_t k = 0; k < result.seeds.size(); ++k) {
    double sum_m = 0.0;
    for (const sim::budget::BudgetPart& one : result.parts) sum_m += one.part_m[k];
    EXPECT_NEAR(sum_m, result.seeds[k].placement_error_m, 1e-12);
  }
  double variance_ratio = 0.0, error_ratio = 0.0;
  for (const sim::budget::BudgetPart& one : result.parts) {
    variance_ratio += one.figures.variance_share_ratio;
    error_ratio += one.figures.error_share_ratio;
  }
  EXPECT_NEAR(variance_ratio, 1.0, 1e-9);
  EXPECT_NEAR(error_ratio, 1.0, 1e-9);
  const sim::budget::BudgetSeedCounts& counts = result.counts;
  EXPECT_EQ(counts.placed, counts.counted + counts.merged + counts.shared + counts.edge_missed +
                               counts.no_band + counts.no_counterpart + counts.lost_in_others);
  EXPECT_EQ(counts.counted, static_cast<long long>(result.seeds.size()));
}

// A table that is wrong on purpose is a lasting error: the largest part by share of the error,
// though it has no share of the variance.
TEST(Budget, ALastingErrorIsNamedThoughItDoesNotScatter) {
  const sim::budget::BudgetResult result =
      sim::budget::run_budget(ideal_row({"delivery.time_scatter=\"0.3 ms\"",
                                         "controller.delay_time_error=\"2 ms\"", "seeds=40"}),
                              {.orders = 2});
  const sim::budget::BudgetPart& largest = *sim::budget::parts_by_share(result).front();
  EXPECT_EQ(largest.key, "remains");
  EXPECT_NEAR(largest.figures.mean_m, kSpeed_mps * 2e-3, 1e-4);
  EXPECT_NEAR(largest.figures.variance_share_ratio, 0.0, 1e-2);
}

TEST(Budget, OfWhatCannotBeServedIsAnInputError) {
  EXPECT_THROW(sim::budget::run_budget(ideal_row({"attachment.outlet_offset=\"-200 mm\""})),
               sim::text::InputError);
}

}  // namespace
