// The delay law from measured points: exact, weighted, with a wild point, in contradiction.
#include "sim/study/delay/measured_points.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "sim/bench/random.h"
#include "sim/scenario/loader.h"

namespace {

using ::testing::HasSubstr;

// A law of our own: 60 ms and -180 mm.
constexpr double kTime_s = 0.060;
constexpr double kDistance_m = -0.180;

// What is seen at `speed` with a table that opens `late` after the law.
sim::delay::DelayPoint seen_at(double speed_mps, double late_s, double uncertainty_m,
                               double wild_m = 0.0) {
  return {.speed_mps = speed_mps,
          .delay_s = kTime_s + kDistance_m / speed_mps + late_s,
          .offset_m = late_s * speed_mps + wild_m,
          .uncertainty_m = uncertainty_m};
}

std::vector<sim::delay::DelayPoint> six_points() {
  std::vector<sim::delay::DelayPoint> points;
  for (int k = 0; k < 6; ++k) {
    points.push_back(seen_at(2.0 + 0.5 * k, 1e-3 * (k - 2), 1e-3));
    points.back().line = k + 2;
  }
  return points;
}

std::string error_of(const std::vector<sim::delay::DelayPoint>& points) {
  try {
    sim::delay::fit_measured_points(points, {}, {.file = "points.csv"});
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "taken";
}

}  // namespace

// Exact points of two speeds give the law back, whatever delay was in force at each.
TEST(MeasuredPoints, ExactPointsGiveTheLawBack) {
  const auto found = sim::delay::fit_measured_points(
      std::vector{seen_at(2.0, 5e-3, 1e-3), seen_at(4.0, -3e-3, 1e-3)});
  EXPECT_NEAR(found.law.time_s, kTime_s, 1e-12);
  EXPECT_NEAR(found.law.distance_m, kDistance_m, 1e-12);
  EXPECT_EQ(found.freedom, 0);
  EXPECT_TRUE(std::isnan(found.birge_ratio));
}

// By hand, two speeds 2 and 4 m/s: wanted w = v delay - offset, a = (w4 - w2)/2, b = 2 w2 - w4, so
// with sd u2 = 1 mm and u4 = 2 mm: sd a = sqrt(1 + 4)/2 mm/(m/s), sd b = sqrt(4 + 4) mm.
TEST(MeasuredPoints, IntervalsOfTwoSpeedsByHand) {
  const auto found = sim::delay::fit_measured_points(
      std::vector{seen_at(2.0, 0.0, 1e-3), seen_at(4.0, 0.0, 2e-3)});
  EXPECT_NEAR(found.law.time_sd_s, std::sqrt(5.0) / 2.0 * 1e-3, 1e-9);
  EXPECT_NEAR(found.law.distance_sd_m, std::sqrt(8.0) * 1e-3, 1e-9);
  EXPECT_NEAR(found.time_half_s, 1.96 * std::sqrt(5.0) / 2.0 * 1e-3, 1e-7);
}

// By hand: two points at one speed, 3 mm apart, weigh 1/u2: with u = 1 and 2 mm their mean lies
// 1/5 of the way to the coarser one.
TEST(MeasuredPoints, WeighsByStatedUncertainty) {
  const auto found = sim::delay::fit_measured_points(
      std::vector{seen_at(4.0, 0.0, 1e-3), seen_at(4.0, 0.0, 2e-3, 3e-3), seen_at(2.0, 0.0, 1e-3)});
  const double at_four_m = found.law.time_s * 4.0 + found.law.distance_m;
  EXPECT_NEAR(at_four_m - (kTime_s * 4.0 + kDistance_m), -0.6e-3, 1e-9);
  EXPECT_EQ(found.freedom, 1);
  // residuals 0.6 mm of 1 and 2.4 mm of 2: 0.36 + 1.44
  EXPECT_NEAR(found.chi_square_ratio, 1.8, 1e-6);
  EXPECT_NEAR(found.birge_ratio, std::sqrt(1.8), 1e-6);
}

TEST(MeasuredPoints, AWildPointIsNamedAndLeftOut) {
  auto points = six_points();
  points[4].offset_m += 12e-3;
  const auto found = sim::delay::fit_measured_points(points);
  for (std::size_t i = 0; i < points.size(); ++i) EXPECT_EQ(found.points[i].outlier, i == 4) << i;
  EXPECT_NEAR(found.law.time_s, kTime_s, 1e-9);
  EXPECT_NEAR(found.law.distance_m, kDistance_m, 1e-9);
  EXPECT_NEAR(found.points[4].residual_m, 12e-3, 1e-9);
  EXPECT_EQ(found.freedom, 3);
  // From the law of the others: 12 mm over sqrt(u2 + variance of the line at 4 m/s). By hand: mean
  // of the others' speeds 3.1 m/s, sum of squares 4.2 - 0.74 = 3.7: 1 + 1/5 + 0.81/3.7.
  EXPECT_NEAR(found.points[4].left_out_residual_ratio, 12.0 / std::sqrt(1.2 + 0.81 / 3.7), 1e-3);
}

// At the end of the range a wild point pulls the line to itself: in the fit of all points its
// residual is half of its residual against the others.
TEST(MeasuredPoints, AWildEndPointDoesNotMaskItself) {
  auto points = six_points();
  points[0].offset_m -= 8e-3;
  const auto found = sim::delay::fit_measured_points(points);
  EXPECT_TRUE(found.points[0].outlier);
  EXPECT_NEAR(found.law.distance_m, kDistance_m, 1e-9);
}

TEST(MeasuredPoints, OneSpeedDoesNotTellTimeFromDistance) {
  const std::string error = error_of({seen_at(4.0, 0.0, 1e-3), seen_at(4.0, 1e-3, 1e-3)});
  EXPECT_THAT(error, HasSubstr("all points are at 14.4 km/h"));
  EXPECT_THAT(error, HasSubstr("measure also at"));
  EXPECT_THAT(error_of({}), HasSubstr("no measured points"));
}

// The speed that the message names is one that works.
TEST(MeasuredPoints, SpeedsTooNearAreToldASpeedThatDoes) {
  std::vector points{seen_at(4.0, 0.0, 1e-3), seen_at(4.2, 0.0, 1e-3)};
  const std::string error = error_of(points);
  EXPECT_THAT(error, HasSubstr("give the distance b only to"));
  const std::size_t at = error.find("measure also at ");
  ASSERT_NE(at, std::string::npos) << error;
  const double speed_mps = std::stod(error.substr(at + 16)) / 3.6;
  EXPECT_LT(speed_mps, 4.0);
  points.push_back(seen_at(speed_mps, 0.0, 1e-3));
  EXPECT_EQ(error_of(points), "taken");
  points.back() = seen_at(speed_mps + 0.5 / 3.6, 0.0, 1e-3);
  EXPECT_NE(error_of(points), "taken");
}

// Two points against two at one speed: none is the outlier, and the widened uncertainties reconcile
// them.
TEST(MeasuredPoints, ContradictionNamesThePairAndWhatReconcilesIt) {
  std::vector points{seen_at(2.0, 0.0, 1e-3), seen_at(2.0, 0.0, 1e-3),
                     seen_at(4.0, 0.0, 1e-3, 9e-3), seen_at(4.0, 0.0, 1e-3, -9e-3)};
  for (int k = 0; k < 4; ++k) points[static_cast<std::size_t>(k)].line = k + 2;
  const std::string error = error_of(points);
  EXPECT_THAT(error, HasSubstr("contradict each other"));
  EXPECT_THAT(error, HasSubstr("lines 4 and 5"));
  const std::size_t at = error.find("uncertainties ");
  ASSERT_NE(at, std::string::npos);
  const double widen_ratio = std::stod(error.substr(at + 14)) * 1.01;
  for (sim::delay::DelayPoint& point : points) point.uncertainty_m *= widen_ratio;
  EXPECT_THAT(error_of(points), testing::Not(HasSubstr("contradict")));
}

// An exact simulated law and points of the same uncertainty meet halfway, by hand with one more
// pair.
TEST(MeasuredPoints, JoinsTheSimulatedLawByItsUncertainty) {
  const std::vector points{seen_at(2.0, 0.0, 1e-3), seen_at(4.0, 0.0, 1e-3)};
  const auto alone = sim::delay::fit_measured_points(points);
  sim::delay::UncertainLaw simulated = alone.law;
  simulated.time_s += 1e-3;
  simulated.distance_m -= 2e-3;
  const auto joined = sim::delay::fit_measured_points(points, simulated);
  ASSERT_TRUE(joined.prior_used);
  EXPECT_NEAR(joined.law.time_s, kTime_s + 0.5e-3, 1e-9);
  EXPECT_NEAR(joined.law.distance_m, kDistance_m - 1e-3, 1e-9);
  EXPECT_NEAR(joined.law.time_sd_s, alone.law.time_sd_s / std::sqrt(2.0), 1e-9);
}

TEST(MeasuredPoints, AContradictingSimulationIsLeftOut) {
  const std::vector points{seen_at(2.0, 0.0, 1e-3), seen_at(4.0, 0.0, 1e-3)};
  const sim::delay::UncertainLaw simulated{kTime_s + 0.02, 1e-3, kDistance_m, 1e-3, 0.0};
  const auto found = sim::delay::fit_measured_points(points, simulated);
  EXPECT_TRUE(found.prior_given);
  EXPECT_FALSE(found.prior_used);
  EXPECT_NEAR(found.law.time_s, kTime_s, 1e-12);
}

// 2000 files of 8 points with honest uncertainties: a share of 95 % holds the truth (sd of the
// share 0.5 %; the Birge ratio only widens), and at most 5 % name a point that is none.
TEST(MeasuredPoints, IntervalsHoldWhatTheyPromise) {
  int held = 0;
  int named = 0;
  constexpr int kFiles = 2000;
  for (std::uint32_t file = 0; file < kFiles; ++file) {
    std::vector<sim::delay::DelayPoint> points;
    const sim::bench::RandomStream stream{.rng_key = 5, .row = file};
    for (std::uint64_t k = 0; k < 8; ++k)
      points.push_back(seen_at(2.0 + 0.3 * static_cast<double>(k), 0.0, 1e-3,
                               1e-3 * stream.normal_ratio(sim::bench::Purpose::kStripReading, k)));
    try {
      const auto found = sim::delay::fit_measured_points(points);
      held += std::abs(found.law.time_s - kTime_s) <= found.time_half_s ? 1 : 0;
      for (const sim::delay::JudgedPoint& judged : found.points) named += judged.outlier ? 1 : 0;
    } catch (const sim::text::InputError&) {  // 1 in 1000 contradicts itself by chance
    }
  }
  EXPECT_GE(held, 0.94 * kFiles);
  EXPECT_LE(held, 0.985 * kFiles);
  EXPECT_LE(named, 0.065 * kFiles);
}
