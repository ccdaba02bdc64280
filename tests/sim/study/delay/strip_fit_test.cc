// What tape readings give back: planted errors, intervals that cover, outliers, refusals.
#include "sim/study/delay/strip_fit.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "sim/bench/random.h"
#include "sim/scenario/loader.h"

namespace {

using ::testing::HasSubstr;

// Rows of our own, in mm ahead; they sum to zero.
constexpr double kRows_m[] = {3e-3, -1e-3, 2e-3, -4e-3, 1e-3, -1e-3};
constexpr int kRows = 6;

struct Strip {
  double time_s = 1e-3;
  double distance_m = -5e-3;
  double scatter_m = 5e-3;
  double run_sd_m = 0.0;
  int runs_a_speed = 2;
  int bands = 25;
  std::uint32_t key = 1;
};

std::vector<sim::delay::StripReading> lay(const Strip& strip) {
  std::vector<sim::delay::StripReading> readings;
  std::uint64_t draw = 0;
  const sim::bench::RandomStream stream{.rng_key = 77, .row = strip.key};
  const auto normal = [&] {
    return stream.normal_ratio(sim::bench::Purpose::kStripReading, draw++);
  };
  for (const double speed_mps : {4.4, 2.2}) {
    for (int run = 0; run < strip.runs_a_speed; ++run) {
      const double common_m =
          speed_mps * strip.time_s + strip.distance_m + strip.run_sd_m * normal();
      for (int row = 0; row < kRows; ++row)
        for (int band = 0; band < strip.bands; ++band)
          readings.push_back({.speed_mps = speed_mps,
                              .run = run,
                              .row = row,
                              .band = band,
                              .offset_m = common_m + kRows_m[row] + strip.scatter_m * normal(),
                              .line = static_cast<int>(readings.size()) + 2});
    }
  }
  return readings;
}

std::string error_of(const std::vector<sim::delay::StripReading>& readings) {
  try {
    sim::delay::fit_strip(readings, {.file = "strip.csv"});
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "taken";
}

}  // namespace

TEST(StripFit, ExactReadingsGiveEverythingBack) {
  const auto fit = sim::delay::fit_strip(lay({.scatter_m = 0.0}));
  EXPECT_NEAR(fit.time_s, 1e-3, 1e-12);
  EXPECT_NEAR(fit.distance_m, -5e-3, 1e-12);
  ASSERT_EQ(fit.trims.size(), 6u);
  for (int row = 0; row < kRows; ++row)
    EXPECT_NEAR(fit.trims[static_cast<std::size_t>(row)].trim_m, -kRows_m[row], 1e-12);
  EXPECT_NEAR(fit.offsets[1].offset_m, 4.4e-3 - 5e-3, 1e-12);
  // sum of squares 32 mm2 over 5
  EXPECT_NEAR(fit.row_before_sd_m, std::sqrt(32.0 / 5.0) * 1e-3, 1e-9);
  EXPECT_NEAR(fit.recovered_ratio, 1.0, 1e-9);
}

// A fine strip (0.5 mm, 200 bands) finds a tenth of a millisecond and a millimetre.
TEST(StripFit, RecoversATenthOfAMillisecondAndAMillimetre) {
  const auto fit = sim::delay::fit_strip(lay(
      {.time_s = 1e-4, .distance_m = 1e-3, .scatter_m = 5e-4, .runs_a_speed = 3, .bands = 200}));
  EXPECT_NEAR(fit.time_s, 1e-4, 3e-5);
  EXPECT_NEAR(fit.distance_m, 1e-3, 1e-4);
  EXPECT_GT(fit.time_s, fit.time_half_s);  // distinguished from zero
}

// 1000 strips whose runs share errors of 1 mm: every interval covers in 93 to 97 % (sd of a share
// of 1000 is 0.7 %). Rows: all six together.
TEST(StripFit, IntervalsCoverWithErrorsThatARunShares) {
  int time = 0, distance = 0, rows = 0;
  constexpr int kStrips = 1000;
  for (std::uint32_t key = 0; key < kStrips; ++key) {
    const auto fit = sim::delay::fit_strip(lay({.run_sd_m = 1e-3, .bands = 6, .key = key}));
    time += std::abs(fit.time_s - 1e-3) <= fit.time_half_s ? 1 : 0;
    distance += std::abs(fit.distance_m + 5e-3) <= fit.distance_half_m ? 1 : 0;
    for (std::size_t row = 0; row < fit.trims.size(); ++row)
      rows += std::abs(fit.trims[row].trim_m + kRows_m[row]) <= fit.trims[row].half_m ? 1 : 0;
  }
  EXPECT_GE(time, 0.93 * kStrips);
  EXPECT_LE(time, 0.97 * kStrips);
  EXPECT_GE(distance, 0.93 * kStrips);
  EXPECT_LE(distance, 0.97 * kStrips);
  EXPECT_GE(rows, 0.93 * kRows * kStrips);
  EXPECT_LE(rows, 0.97 * kRows * kStrips);
}

// With one run per speed a run's error is assumed as stated; with that sd the intervals cover.
TEST(StripFit, TwoRunsRestOnTheAssumedErrorOfARun) {
  int time = 0;
  constexpr int kStrips = 1000;
  for (std::uint32_t key = 0; key < kStrips; ++key) {
    const auto fit =
        sim::delay::fit_strip(lay({.run_sd_m = 1e-3, .runs_a_speed = 1, .bands = 6, .key = key}),
                              {.assumed_run_sd_m = 1e-3});
    EXPECT_FALSE(fit.run_error_seen);
    time += std::abs(fit.time_s - 1e-3) <= fit.time_half_s ? 1 : 0;
  }
  EXPECT_GE(time, 0.93 * kStrips);
  EXPECT_LE(time, 0.97 * kStrips);
}

TEST(StripFit, NamesAMisreadBand) {
  auto readings = lay({});
  readings[100].offset_m += 0.1;  // a decimetre misread on the tape
  const auto fit = sim::delay::fit_strip(readings);
  ASSERT_EQ(fit.outliers.size(), 1u);
  EXPECT_EQ(fit.outliers[0].line, 102);
  EXPECT_EQ(fit.readings, 599);
}

// Truth: rows spread by sqrt(6.4) = 2.5 mm, each row known to sd 5/sqrt(100): noise 0.25 mm2, so a
// trim recovers 1 - 0.25/6.4 = 96 %, and 4 bands per cell (16 per row, 1.56 mm2) 76 %. The median
// of 101 strips is compared, as the share of a single strip is skew.
TEST(StripFit, RecoveredShareFollowsTheBands) {
  std::vector<double> many, few;
  for (std::uint32_t key = 0; key < 101; ++key) {
    many.push_back(sim::delay::fit_strip(lay({.key = key})).recovered_ratio);
    few.push_back(sim::delay::fit_strip(lay({.bands = 4, .key = key})).recovered_ratio);
  }
  std::sort(many.begin(), many.end());
  std::sort(few.begin(), few.end());
  EXPECT_NEAR(many[50], 1.0 - 0.25 / 6.4, 0.01);
  EXPECT_NEAR(few[50], 1.0 - 1.5625 / 6.4, 0.06);
}

TEST(StripFit, RefusesWhatCannotTell) {
  auto readings = lay({.bands = 3});
  auto one_speed = readings;
  for (auto& r : one_speed) r.run += r.speed_mps > 3.0 ? 10 : 0, r.speed_mps = 4.4;
  EXPECT_THAT(error_of(one_speed), HasSubstr("all bands were laid at 15.8 km/h"));
  EXPECT_THAT(error_of(one_speed), HasSubstr("a second strip at 7.92 km/h"));
  auto near = readings;
  for (auto& r : near) r.speed_mps = r.speed_mps > 3.0 ? 4.4 : 4.0;
  EXPECT_THAT(error_of(near), HasSubstr("too near"));
  auto single = lay({.bands = 1});
  EXPECT_THAT(error_of(single), HasSubstr("has 1 bands: too few"));
  EXPECT_THAT(error_of({}), HasSubstr("no bands"));
}
