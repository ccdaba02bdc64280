#include "sim/study/delay/delay_fit.h"

#include <gtest/gtest.h>

#include <cmath>

#include "sim/bench/random.h"
#include "sim/scenario/loader.h"
#include "sim/statistics/least_squares.h"

namespace {

constexpr double kSpeeds_mps[] = {1.5, 2.5, 3.5, 4.5, 5.5};

/// Bands of rows whose table is off by a time and a distance; each row has an offset of its own.
std::vector<sim::delay::SeenCondition> seen_with(double time_s, double distance_m, double row_sd_m,
                                                 double band_sd_m, std::uint64_t rng_key) {
  std::vector<sim::delay::SeenCondition> seen;
  for (std::size_t c = 0; c < std::size(kSpeeds_mps); ++c) {
    sim::delay::SeenCondition one;
    one.condition.speed_mps = kSpeeds_mps[c];
    one.condition.voltage_v = 12.6;
    one.viscosity_pas = 1e-3;
    one.flow_m3ps = 1e-5;
    for (int row = 0; row < 24; ++row) {
      const sim::bench::RandomStream stream{.rng_key = rng_key,
                                            .row = static_cast<std::uint32_t>(row)};
      const double own_m = row_sd_m * stream.normal_ratio(sim::bench::Purpose::kOutletMount, 0);
      for (int k = 0; k < 10; ++k) {
        const double noise_m = band_sd_m * stream.normal_ratio(sim::bench::Purpose::kRestPlace,
                                                               100 * c + static_cast<unsigned>(k));
        const double error_m = kSpeeds_mps[c] * time_s + distance_m + own_m + noise_m;
        one.bands.push_back({.row = row,
                             .cluster = row,
                             .start_error_m = error_m,
                             .end_error_m = error_m,
                             .error_m = error_m,
                             .rest_s = 1.0,
                             .alone = true});
      }
    }
    seen.push_back(one);
  }
  return seen;
}

// y = 2 + 3 x through (0,2), (1,5), (2,8): exact, whatever the clusters.
TEST(LeastSquares, AStraightLineIsFoundExactly) {
  sim::statistics::LeastSquares line(2);
  for (int k = 0; k < 12; ++k) {
    const sim::statistics::DesignEntry row[] = {{0, 1.0}, {1, static_cast<double>(k % 3)}};
    line.take(row, 2.0 + 3.0 * (k % 3), k / 3);
  }
  ASSERT_TRUE(line.solve());
  EXPECT_NEAR(line.value(0), 2.0, 1e-12);
  EXPECT_NEAR(line.value(1), 3.0, 1e-12);
  EXPECT_NEAR(line.half_width(1), 0.0, 1e-9);
}

TEST(LeastSquares, UnknownsThatNothingTellsApartAreRefused) {
  sim::statistics::LeastSquares same(2);
  for (int k = 0; k < 12; ++k) {
    const sim::statistics::DesignEntry row[] = {{0, 1.0}, {1, 4.0}};
    same.take(row, 1.0, k);
  }
  EXPECT_FALSE(same.solve());
}

// Error of 0.5 ms and 5 mm by hand, v 1.5 to 5.5 m/s, no noise.
TEST(LawError, TimeAndDistanceAreToldApart) {
  const sim::delay::LawError found = sim::delay::law_error_of(seen_with(0.5e-3, 5e-3, 0.0, 0.0, 1));
  EXPECT_NEAR(found.time.value_s, 0.5e-3, 1e-12);
  EXPECT_NEAR(found.distance.value_m, 5e-3, 1e-12);
}

TEST(LawError, OneSpeedCannotTellThem) {
  auto seen = seen_with(0.5e-3, 5e-3, 0.0, 1e-3, 1);
  for (auto& one : seen) one.condition.speed_mps = 4.0;
  EXPECT_THROW(sim::delay::law_error_of(seen), sim::text::InputError);
}

// 95 % intervals over 400 sets of 24 rows that scatter by 6 mm, bands by 3 mm: between 92 and 98 %
// cover (three binomial sd are 3.3 %). The time's interval does not carry the rows' 6 mm: each row
// passes at every speed; 3 mm over 1200 bands with sum (v - mean)^2 = 2 m2/s2 is 0.12 ms.
TEST(LawError, ItsIntervalsCover) {
  int time_covered = 0, distance_covered = 0;
  double widest_s = 0.0;
  for (std::uint64_t key = 1; key <= 400; ++key) {
    const sim::delay::LawError found =
        sim::delay::law_error_of(seen_with(0.5e-3, 5e-3, 6e-3, 3e-3, key));
    time_covered += std::fabs(found.time.value_s - 0.5e-3) <= found.time.half_s ? 1 : 0;
    distance_covered += std::fabs(found.distance.value_m - 5e-3) <= found.distance.half_m ? 1 : 0;
    widest_s = std::max(widest_s, found.time.half_s);
  }
  EXPECT_GE(time_covered, 368);
  EXPECT_LE(time_covered, 394);
  EXPECT_GE(distance_covered, 364);
  EXPECT_LE(distance_covered, 394);
  EXPECT_LT(widest_s, 0.25e-3);
}

// Missing corrections are left out; the whole error goes into lead, lag and b.
TEST(DelayFit, NoiseDoesNotEnterTheTable) {
  sillion_attachment_table table{};
  table.points = 2;
  table.flow_mm3ps[0] = 5000;
  table.flow_mm3ps[1] = 20'000;
  table.lead_us[0] = table.lead_us[1] = 4000;
  table.reference_lead_us = 4000;
  table.delay_distance_um = 150'000;
  std::vector<sim::delay::SeenCondition> seen = seen_with(0.5e-3, 5e-3, 0.0, 0.0, 1);
  const std::vector<sim::delay::SeenCondition> more = seen;
  for (std::size_t k = 0; k < more.size(); ++k) {  // every speed at two flows
    seen.push_back(more[k]);
    seen.back().flow_m3ps = 1.9e-5;
  }
  const sim::delay::DelayFit fit = sim::delay::fit_delay(
      seen, table,
      {.voltage_v = 12.6, .viscosity_pas = 1e-3, .voltages_v = {12.6}, .viscosities_pas = {1e-3}});
  EXPECT_EQ(fit.table.voltage.points, 0);
  EXPECT_EQ(fit.table.rest.points, 0);
  EXPECT_NEAR(fit.table.lead_us[0], 4500, 1);  // opened 0.5 ms too late
  EXPECT_NEAR(fit.table.lead_us[1], 4500, 1);
  EXPECT_NEAR(fit.table.delay_distance_um, 145'000, 1);
  EXPECT_EQ(fit.table.delay_time_us + fit.table.reference_lead_us, 4000);
}

}  // namespace
