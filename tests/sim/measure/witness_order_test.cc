// Which of several seeds or bands is shown, in whatever order their stretches come.
#include <gtest/gtest.h>

#include "sim/measure/witness.h"
#include "tests/sim/measure/measure_rows.h"

namespace sim::measure {
namespace {

/// Seeds with a band of their own each, the errors in m.
RowRecord banded(const std::vector<double>& errors_m) {
  RowRecord row;
  for (const double error_m : errors_m) {
    measure_rows::add_seed(row, 0.16 * static_cast<double>(row.seeds.size()));
    measure_rows::add_band_at(row, row.seeds.back().rest_x_ground_m + error_m);
    SeedRecord& seed = row.seeds.back();
    seed.status = SeedStatus::kBanded;
    seed.band = static_cast<int>(row.bands.size()) - 1;
    seed.placement_error_m = error_m;
  }
  return row;
}

Witness of(std::string_view metric, const RowRecord& row) {
  return witness_of(metric, std::span(&row, 1), measure_rows::rules());
}

TEST(WitnessOrder, OfEqualsTheFirstByRowAndSeedWhicheverComesFirst) {
  const RowRecord row = banded({0.002, 0.004, 0.004, 0.004});
  for (const bool forward : {true, false}) {
    WitnessSearch search("placement_error_mean", measure_rows::rules());
    const auto stretches = [&](int index) {
      search.take_seeds(index, row, forward ? 0 : 2, forward ? 2 : 4);
      search.take_seeds(index, row, forward ? 2 : 0, forward ? 4 : 2);
    };
    stretches(forward ? 1 : 2);
    stretches(forward ? 2 : 1);
    EXPECT_EQ(search.worst().row, 1);
    EXPECT_EQ(search.worst().seed, 1);
    EXPECT_EQ(search.worst().at_s, row.seeds[1].edge_s);
  }
}

TEST(WitnessOrder, ALaterSeedOfALowerRowComesFirst) {
  const RowRecord first = banded({0.001, 0.001, 0.004}), second = banded({0.004, 0.001});
  WitnessSearch search("placement_error_mean", measure_rows::rules());
  search.take_seeds(1, second, 0, 2);
  search.take_seeds(0, first, 0, 3);
  EXPECT_EQ(search.worst().row, 0);
  EXPECT_EQ(search.worst().seed, 2);
  search.take_seeds(1, second, 0, 2);
  EXPECT_EQ(search.worst().row, 0);
}

TEST(WitnessOrder, SeedsThatWereLetGoCount) {
  RowRecord row = banded({0.001, 0.005});
  row.first_seed = 100;
  EXPECT_EQ(of("placement_error_mean", row).seed, 101);
}

TEST(WitnessOrder, TheFirstStrayOfTheLowestRow) {
  RowRecord row = banded({0.0, 0.0, 0.0});
  row.first_seed = 100;
  row.bands[1].stray = row.bands[2].stray = true;
  row.bands[1].nearest_seed = 0;
  for (const bool forward : {true, false}) {
    WitnessSearch search("stray_bands", measure_rows::rules());
    search.take_bands(forward ? 1 : 2, row, 0, 3);
    search.take_bands(forward ? 2 : 1, row, 0, 3);
    EXPECT_EQ(search.worst().row, 1);
    EXPECT_EQ(search.worst().seed, 100);
    EXPECT_EQ(search.worst().at_s, row.bands[1].open_s);
    search.take_bands(1, row, 2, 3);  // the first one of a row stays
    EXPECT_EQ(search.worst().at_s, row.bands[1].open_s);
  }
  row.bands[1].stray = false;
  EXPECT_EQ(of("stray_bands", row).seed, -1) << "near no seed";
  EXPECT_EQ(of("stray_bands", row).row, 0);
  row.bands[2].stray = false;
  EXPECT_EQ(of("stray_bands", row).row, -1);
  row.bands[0].stray = true;
  EXPECT_EQ(of("no_band", row).row, -1) << "a band is none of the seeds counted";
}

TEST(WitnessOrder, WhatIsNowhereHasNone) {
  const RowRecord row = banded({0.001, 0.002});
  for (const char* metric : {"weak", "merged", "shared", "edge_missed", "no_band", "skipped_seeds",
                             "queue_overflows", "stray_bands"})
    EXPECT_EQ(of(metric, row).row, -1) << metric;
}

TEST(WitnessOrder, EachCountHasItsStatus) {
  RowRecord row = banded({0.0, 0.0, 0.0, 0.0, 0.0, 0.0});
  row.seeds[1].status = SeedStatus::kMerged;
  row.seeds[2].status = SeedStatus::kShared;
  row.seeds[3].status = SeedStatus::kEdgeMissed;
  row.seeds[4].status = SeedStatus::kNoBand;
  row.seeds[5].status = SeedStatus::kWeak;
  EXPECT_EQ(of("merged", row).seed, 1);
  EXPECT_EQ(of("shared", row).seed, 2);
  EXPECT_EQ(of("edge_missed", row).seed, 3);
  for (const char* metric : {"no_band", "skipped_seeds", "queue_overflows"})
    EXPECT_EQ(of(metric, row).seed, 4) << metric;
  EXPECT_EQ(of("weak", row).seed, 5);
}

TEST(WitnessOrder, LengthTakesTheFurthestFromTheWanted) {
  RowRecord row = banded({0.0, 0.0, 0.0});
  row.bands[0].end_x_ground_m += 0.001;
  row.bands[2].end_x_ground_m -= 0.003;
  EXPECT_EQ(of("band_length_mean", row).seed, 2);
  EXPECT_EQ(of("length_within_10mm_sensed", row).seed, 2);
  row.seeds[2].status = SeedStatus::kNoBand;  // it has none of its own
  EXPECT_EQ(of("band_length_mean", row).seed, 0);
}

TEST(WitnessOrder, DoseAndRateTakeTheFurthestFromTheCommanded) {
  RowRecord row = banded({0.0, 0.0, 0.0});
  row.bands[1].dose_m3 *= 1.1;
  row.bands[2].dose_m3 *= 0.8;
  EXPECT_EQ(of("dose_sd", row).seed, 2);
  EXPECT_EQ(of("in_band_rate", row).seed, 2);
  row.seeds[2].status = SeedStatus::kNoBand;
  EXPECT_EQ(of("in_band_rate", row).seed, 1);
}

TEST(WitnessOrder, OnTargetTakesTheLeastShareThatIsKnown) {
  RowRecord row = banded({0.0, 0.0, 0.0, 0.0});
  row.seeds[0].on_target_ratio = 0.9;
  row.seeds[2].on_target_ratio = 0.0;
  row.seeds[3].on_target_ratio = 0.4;
  EXPECT_EQ(of("on_target_mean", row).seed, 2);
  row.seeds[2].on_target_ratio = row.seeds[0].on_target_ratio = row.seeds[3].on_target_ratio =
      statistics::kNone_ratio;
  EXPECT_EQ(of("on_target_mean", row).row, -1);
}

// Every metric of misses: a sensed seed without a good band, however far the others are.
TEST(WitnessOrder, AMissedSeedComesBeforeAnyError) {
  for (const char* metric :
       {"within_10mm_placed", "break_even_scatter", "lag_seeds", "banded", "gap_ratio"}) {
    RowRecord row = banded({0.05, 0.0, 0.06});
    EXPECT_EQ(of(metric, row).seed, 2) << metric;
    row.seeds[1].status = SeedStatus::kNoBand;
    row.seeds[1].band = -1;
    EXPECT_EQ(of(metric, row).seed, 1) << metric;
    row.seeds[1].sensed = false;
    EXPECT_EQ(of(metric, row).seed, 2) << metric << ", one that nobody could serve";
  }
}

TEST(WitnessOrder, AtAnInstantItIsTheLastSeedSensed) {
  RowRecord row = banded({0.0, 0.0, 0.0});
  std::swap(row.seeds[0].edge_s, row.seeds[2].edge_s);
  const auto seed_at = [&](double at_s) { return witness_at(0, at_s, std::span(&row, 1)).seed; };
  EXPECT_EQ(seed_at(row.seeds[2].edge_s), 2);
  EXPECT_EQ(seed_at(row.seeds[1].edge_s - 1e-6), 2);
  EXPECT_EQ(seed_at(row.seeds[1].edge_s), 1);
  EXPECT_EQ(seed_at(row.seeds[0].edge_s), 0);
  row.seeds[2].edge_s = row.seeds[0].edge_s;
  EXPECT_EQ(seed_at(9.0), 2) << "of two at once the later";
  EXPECT_EQ(witness_at(-1, 9.0, {}).seed, -1);
}

}  // namespace
}  // namespace sim::measure
