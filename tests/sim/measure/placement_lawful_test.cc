// When a merger is lawful (placement.h): the time that the valve could have been closed for, from
// edges, speed around the seeds and single bands, against its shortest closed time. Edges are 40 ms
// apart at 4 m/s, of which a band takes 20 ms, unless it is said otherwise.
#include <gtest/gtest.h>

#include <cmath>

#include "sim/measure/placement.h"
#include "tests/sim/measure/measure_rows.h"

namespace placement_lawful {
namespace {

using namespace measure_rows;  // NOLINT: the words of these stories
using sim::measure::match_bands;
using sim::measure::PlacementRules;
using sim::measure::RowRecord;

RowRecord even_seeds(int seeds) {
  RowRecord row;
  for (int k = 0; k < seeds; ++k) add_seed(row, kSpacing_m * k);
  return row;
}

/// One band for the seeds `first` and the next.
void add_stretch(RowRecord& row, int first) {
  add_band(row, kSpacing_m * first - 0.04, kSpacing_m * (first + 1) + 0.04);
}

bool lawful(RowRecord row, int stretch, double shortest_closed_s, PlacementRules by = rules()) {
  row.shortest_closed_s = shortest_closed_s;
  match_bands(row, by);
  const sim::measure::BandRecord& band = row.bands[static_cast<std::size_t>(stretch)];
  EXPECT_TRUE(band.merged);
  return band.merge_lawful;
}

// Seeds 2 to 12 ran at 4 m/s. The machine stood for a second behind the first two and before the
// last two, and these are further from seed 7 than five seeds.
TEST(PlacementLawful, TheSpeedIsThatOfFiveSeedsToEitherSide) {
  RowRecord row = even_seeds(15);
  for (const std::size_t early : {0u, 1u}) row.seeds[early].edge_s -= 1.0;
  for (const std::size_t late : {13u, 14u}) row.seeds[late].edge_s += 1.0;
  add_stretch(row, 6);
  EXPECT_FALSE(lawful(row, 0, 19.9e-3));
  EXPECT_TRUE(lawful(row, 0, 20.1e-3));
  for (const std::size_t nearer : {2u, 12u}) {
    RowRecord slow = row;  // one seed nearer it counts: the same band takes longer
    slow.seeds[nearer].edge_s += nearer < 7 ? -0.1 : 0.1;
    EXPECT_TRUE(lawful(slow, 0, 19.9e-3)) << nearer;
  }
}

// The first seed fell last: over its five neighbours the way has the wrong sign. What its band
// shows would be an on time beyond all measure.
TEST(PlacementLawful, ABandWhereNoSpeedIsKnownShowsNothing) {
  RowRecord row = even_seeds(27);
  row.seeds[0].edge_s = 100.0;
  add_band_at(row, 0.0);
  add_stretch(row, 20);
  EXPECT_FALSE(lawful(row, 1, 19.9e-3));
  EXPECT_TRUE(lawful(row, 1, 20.1e-3));
}

// Of a band that was still commanded when the pass ended no off command is known.
TEST(PlacementLawful, ABandWithoutAnOffCommandShowsNothing) {
  RowRecord row = even_seeds(27);
  add_band_at(row, 0.0).close_s = std::nan("");
  add_stretch(row, 20);
  EXPECT_FALSE(lawful(row, 1, 19.9e-3));
  EXPECT_TRUE(lawful(row, 1, 20.1e-3));
}

// At 0.5 m/s seeds are 320 ms apart and a band takes 160 ms; the single band was commanded for
// 10 ms more, so that 150 ms are left.
TEST(PlacementLawful, SingleBandsShowItAtAnySpeed) {
  RowRecord row = even_seeds(27);
  for (sim::measure::SeedRecord& seed : row.seeds) seed.edge_s = seed.rest_x_ground_m / 0.5;
  sim::measure::BandRecord& single = add_band_at(row, 0.0);
  single.close_s = single.open_s + 170e-3;
  add_stretch(row, 20);
  EXPECT_FALSE(lawful(row, 1, 149e-3));
  EXPECT_TRUE(lawful(row, 1, 151e-3));
}

// Two edges of 1 ms blur their distance by sqrt(2) ms, and three of it are 4.243 ms: with 20 ms
// between them the border lies at 15.757 ms.
TEST(PlacementLawful, TheSlackIsThreeDeviationsOfTwoEdges) {
  RowRecord row = even_seeds(12);
  add_stretch(row, 5);
  PlacementRules jittery = rules();
  jittery.edge_jitter_s = 1e-3;
  EXPECT_FALSE(lawful(row, 0, 15.7e-3, jittery));
  EXPECT_TRUE(lawful(row, 0, 15.8e-3, jittery));
}

// Three seeds 120 mm apart in one stretch: 10 ms between each two of them, 40 ms from the first to
// the last.
TEST(PlacementLawful, TheTimeIsThatBetweenNeighbours) {
  RowRecord row;
  for (const double x_m : {1.0, 1.12, 1.24}) add_seed(row, x_m);
  add_band(row, 0.96, 1.28);
  EXPECT_TRUE(lawful(row, 0, 10.1e-3));
  EXPECT_FALSE(lawful(row, 0, 9.9e-3));
}

PlacementRules of_eighths() {
  PlacementRules by = rules();
  by.band_length_m = 0.125;
  by.theoretical_spacing_m = 0.25;
  return by;
}

// Bands of 1/8 m whose seeds are as far apart leave no gap, whatever the single bands show: these
// were commanded for 15 ms less than they take.
TEST(PlacementLawful, BandsThatTouchWantNoGap) {
  RowRecord row;
  for (const double x_m : {1.0, 1.125, 3.0, 3.25}) add_seed(row, x_m);
  add_band(row, 0.9375, 1.1875);
  for (const double x_m : {3.0, 3.25}) {
    sim::measure::BandRecord& band = add_band(row, x_m - 0.0625, x_m + 0.0625);
    band.close_s = band.open_s + 0.125 / kSpeed_mps - 15e-3;
  }
  EXPECT_TRUE(lawful(row, 0, 10e-3, of_eighths()));
}

// 1/16 s between the edges less 1/32 s of band: exactly the shortest closed time is enough.
TEST(PlacementLawful, TheShortestClosedTimeItselfCouldHaveBeenKept) {
  RowRecord row;
  for (const double x_m : {1.0, 1.25}) add_seed(row, x_m);
  add_band(row, 0.9375, 1.3125);
  EXPECT_FALSE(lawful(row, 0, 0.03125, of_eighths()));
  EXPECT_TRUE(lawful(row, 0, 0.03126, of_eighths()));
}

TEST(PlacementLawful, ABandOfOneSeedIsNeverUnlawful) {
  RowRecord row = even_seeds(3);
  add_stretch(row, 0);
  row.shortest_closed_s = 1e-3;
  match_bands(row, rules());
  EXPECT_FALSE(row.bands[0].merge_lawful);
  row.bands[0].end_x_ground_m = 0.04;
  row.bands[0].centre_x_ground_m = 0.0;
  match_bands(row, rules());
  EXPECT_FALSE(row.bands[0].merged);
  EXPECT_TRUE(row.bands[0].merge_lawful);
}

}  // namespace
}  // namespace placement_lawful
