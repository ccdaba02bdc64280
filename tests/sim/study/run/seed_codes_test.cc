#include "sim/study/run/seed_codes.h"

#include <gtest/gtest.h>

namespace {

// Digits of base 64 in the order of RFC 4648, section 4, reckoned by hand:
// 15000 = 3 64^2 + 42 64 + 24, 130949 = 31 64^2 + 62 64 + 5, 590 = 9 64 + 14, 260 = 4 64 + 4.
TEST(SeedCodes, WritesASeedInTwelveDigits) {
  sim::measure::RowRecord row;
  sim::measure::SeedRecord seed;
  seed.edge_s = 1.5;
  seed.sensed = true;
  seed.band = 0;
  seed.placement_error_m = -1.23e-3;
  seed.status = sim::measure::SeedStatus::kBanded;
  row.seeds.push_back(seed);
  sim::measure::BandRecord band;
  band.start_x_ground_m = 2.0;
  band.end_x_ground_m = 2.059;
  band.dose_m3 = 0.26e-6;
  row.bands.push_back(band);
  EXPECT_EQ(sim::run::seed_codes(row), "ADqYf+FJOEEI");
}

TEST(SeedCodes, WhatThereIsNotOrExceedsItsDigitsIsNotKnown) {
  sim::measure::RowRecord row;
  sim::measure::SeedRecord seed;
  seed.edge_s = 1e4;  // 64^4 steps of 0.1 ms are 1678 s
  seed.status = sim::measure::SeedStatus::kNoBand;
  row.seeds.push_back(seed);
  EXPECT_EQ(sim::run::seed_codes(row), "///////////E");
}

TEST(SeedCodes, NamesTheStatusesInTheirOrder) {
  EXPECT_EQ(sim::run::seed_status_words(), "banded merged shared edge_missed no_band weak");
}

}  // namespace
