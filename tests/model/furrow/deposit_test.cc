// Bands from parcels: laws of order, shift and sum, and cases worked by hand.
#include "model/furrow/deposit.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
#include <vector>

#include "tests/support/no_heap.h"

namespace model {
namespace {

std::vector<Parcel> even_band(double from_m, double to_m, int count) {
  std::vector<Parcel> parcels;
  const double cell_m = (to_m - from_m) / count;
  for (int i = 0; i < count; ++i) parcels.push_back({from_m + (i + 0.5) * cell_m, 1e-9});
  return parcels;
}

// A pulse as the furrow sees it: the jet speeds up, so later parcels land behind earlier ones.
std::vector<Parcel> folded_pulse(int count) {
  std::vector<Parcel> parcels;
  for (int i = 0; i < count; ++i) {
    const double time_s = i * 1e-5;
    const double jet_mps =
        5.0 + 9.0 * (1.0 - std::exp(-time_s / 1e-3)) + 0.3 * std::sin(time_s * 3e3);
    const double flight_s = 0.05 / jet_mps;
    parcels.push_back({4.444 * (time_s + flight_s), 1e-11 * jet_mps, i<20, i> count - 40});
  }
  return parcels;
}

void shuffle(std::vector<Parcel>& parcels, std::uint64_t key) {
  for (std::size_t i = parcels.size(); i > 1; --i) {
    key = key * 6364136223846793005U + 1442695040888963407U;
    std::swap(parcels[i - 1], parcels[(key >> 33) % i]);
  }
}

bool same_bytes(const BandShape& a, const BandShape& b) {
  return std::memcmp(&a, &b, sizeof a) == 0;
}

bool in_order(const std::vector<Parcel>& parcels) {
  return std::is_sorted(parcels.begin(), parcels.end(), [](const Parcel& a, const Parcel& b) {
    return a.x_ground_m < b.x_ground_m;
  });
}

TEST(Deposit, AnEvenBandHasItsOwnEdges) {
  auto parcels = even_band(0.2, 0.275, 40);
  const BandShape band = band_shape(parcels);
  EXPECT_NEAR(band.start_x_ground_m, 0.2, 1e-14);
  EXPECT_NEAR(band.end_x_ground_m, 0.275, 1e-14);
  EXPECT_NEAR(band.centre_x_ground_m, 0.2375, 1e-14);
  EXPECT_NEAR(band.dose_m3, 40e-9, 1e-22);
}

// 1, 2, 1 ul at 0, 10, 30 mm. Middles of cumulated volume .5, 2, 3.5. x25 at 1: 10 * .5/1.5
// = 3.3333; x75 at 3: 10 + 20 * 1/1.5 = 23.3333. start 5 - 11.6667 = -6.6667, end 35 - 1.6667
// = 33.3333, centroid (0 + 20 + 30)/4 = 12.5 mm.
TEST(Deposit, ThreeParcelsByHand) {
  std::vector<Parcel> parcels{{0.030, 1e-9}, {0.0, 1e-9}, {0.010, 2e-9}};
  const BandShape band = band_shape(parcels);
  EXPECT_NEAR(band.start_x_ground_m, -6.66666667e-3, 1e-11);
  EXPECT_NEAR(band.end_x_ground_m, 33.33333333e-3, 1e-11);
  EXPECT_NEAR(band.centre_x_ground_m, 12.5e-3, 1e-15);
}

TEST(Deposit, OneParcelIsABandWithoutLength) {
  std::vector<Parcel> parcels{{0.7, 3e-9}};
  const BandShape band = band_shape(parcels);
  EXPECT_EQ(band.start_x_ground_m, 0.7);
  EXPECT_EQ(band.end_x_ground_m, 0.7);
  EXPECT_EQ(band.centre_x_ground_m, 0.7);
}

TEST(Deposit, DribbleCountsInDoseNotInShape) {
  auto parcels = even_band(0.0, 0.075, 40);
  const BandShape clean = band_shape(parcels);
  parcels.push_back({0.5, 10e-9, true, true});
  const BandShape band = band_shape(parcels);
  EXPECT_EQ(band.start_x_ground_m, clean.start_x_ground_m);
  EXPECT_EQ(band.end_x_ground_m, clean.end_x_ground_m);
  EXPECT_NEAR(band.dose_m3, 50e-9, 1e-22);
  EXPECT_NEAR(band.shaped_m3, 40e-9, 1e-22);
  EXPECT_NEAR(band.secondary_ratio, 0.2, 1e-14);
}

TEST(Deposit, WithoutShapedLiquidThePlacesAreNotANumber) {
  std::vector<Parcel> none;
  EXPECT_TRUE(std::isnan(band_shape(none).centre_x_ground_m));
  std::vector<Parcel> dribble{{0.1, 1e-9, true}, {0.2, 0.0, false}};
  const BandShape band = band_shape(dribble);
  EXPECT_TRUE(std::isnan(band.start_x_ground_m) && std::isnan(band.end_x_ground_m));
  EXPECT_EQ(band.shaped_m3, 0.0);
  EXPECT_EQ(band.dose_m3, 1e-9);
}

TEST(Deposit, TheOrderOfParcelsChangesNoBit) {
  auto parcels = folded_pulse(2000);
  const BandShape band = band_shape(parcels);
  EXPECT_TRUE(in_order(parcels));
  for (std::uint64_t key = 1; key <= 20; ++key) {
    auto mixed = folded_pulse(2000);
    shuffle(mixed, key);
    EXPECT_TRUE(same_bytes(band_shape(mixed), band)) << "key " << key;
  }
}

TEST(Deposit, EveryPatternOfRunsComesOutSorted) {
  std::vector<std::vector<Parcel>> patterns;
  patterns.push_back(even_band(0.0, 1.0, 5000));
  patterns.push_back({patterns[0].rbegin(), patterns[0].rend()});  // one falling run
  auto rotated = patterns[0];
  std::rotate(rotated.begin(), rotated.begin() + 2500,
              rotated.end());  // overlap beyond the merge room
  patterns.push_back(rotated);
  std::vector<Parcel> alternating;  // more runs than are kept
  for (int i = 0; i < 500; ++i) alternating.push_back({i % 2 == 0 ? 1.0 * i : -1.0 * i, 1e-9});
  patterns.push_back(alternating);
  std::vector<Parcel> sawtooth;  // many merges within the room
  for (int i = 0; i < 900; ++i) sawtooth.push_back({(i % 30) * 1.0 + i * 1e-3, 1e-9});
  patterns.push_back(sawtooth);
  std::vector<Parcel> ties(100, Parcel{0.5, 1e-9});
  patterns.push_back(ties);
  for (auto& pattern : patterns) {
    double before_m = 0.0;
    for (const Parcel& parcel : pattern) before_m += parcel.x_ground_m;
    band_shape(pattern);
    EXPECT_TRUE(in_order(pattern)) << pattern.size();
    double after_m = 0.0;
    for (const Parcel& parcel : pattern) after_m += parcel.x_ground_m;
    EXPECT_NEAR(after_m, before_m, 1e-9) << "parcels lost or doubled";
  }
}

TEST(Deposit, FarDownTheFieldTheShapeIsTheSame) {
  auto near = folded_pulse(1500);
  auto far = near;
  for (Parcel& parcel : far) parcel.x_ground_m += 8192.0;
  const BandShape here = band_shape(near);
  const BandShape there = band_shape(far);
  EXPECT_NEAR(there.start_x_ground_m - 8192.0, here.start_x_ground_m, 1e-11);
  EXPECT_NEAR(there.end_x_ground_m - 8192.0, here.end_x_ground_m, 1e-11);
  EXPECT_NEAR(there.centre_x_ground_m - 8192.0, here.centre_x_ground_m, 1e-11);
}

TEST(Deposit, FinerParcelsMakeTheSameBand) {
  auto coarse = even_band(0.1, 0.2, 10);
  auto fine = even_band(0.1, 0.2, 1000);
  EXPECT_NEAR(band_shape(coarse).start_x_ground_m, band_shape(fine).start_x_ground_m, 1e-14);
}

TEST(Deposit, TakesNothingFromTheHeap) {
  auto parcels = folded_pulse(2000);
  const std::size_t before = support::heap_allocations();
  band_shape(parcels);
  covered_ratio(parcels, 0.0, 0.5, 1e-3, 1e-7);
  volume_within_ratio(parcels, 0.0, 0.05);
  EXPECT_EQ(support::heap_allocations(), before);
}

TEST(Deposit, ShareWithinCountsBothEnds) {
  const std::vector<Parcel> parcels{{0.0, 1e-9}, {0.1, 2e-9, true}, {0.2, 3e-9}, {0.3, 4e-9}};
  EXPECT_NEAR(volume_within_ratio(parcels, 0.1, 0.2), 0.5, 1e-15);
  EXPECT_NEAR(volume_within_ratio(parcels, -1.0, 1.0), 1.0, 1e-15);
  EXPECT_EQ(volume_within_ratio(parcels, 0.4, 1.0), 0.0);
  EXPECT_EQ(volume_within_ratio({}, 0.0, 1.0), 0.0);
}

// 10 cells of 5 mm; 0.5 ul in each of the first 6, i.e. 1e-7 m3/m there and none in the rest.
TEST(Deposit, CoverCountsCellsAtTheFloor) {
  const auto parcels = even_band(0.0, 0.03, 3);  // 1e-9 per 10 mm = 1e-7 m3/m, but as three points
  EXPECT_NEAR(covered_ratio(parcels, 0.0, 0.05, 0.01, 0.9e-7), 0.6, 1e-12);
  EXPECT_NEAR(covered_ratio(parcels, 0.0, 0.05, 0.01, 1.1e-7), 0.0, 1e-12);
  // Cells of 5 mm: each point fills the cell it falls in to twice the density, the others stay dry.
  EXPECT_NEAR(covered_ratio(parcels, 0.0, 0.05, 0.005, 1.5e-7), 0.3, 1e-12);
}

// 0.025 m in cells of 10 mm: two whole cells and one of 5 mm, each judged by its own width.
TEST(Deposit, CoverCutsTheLastCell) {
  const std::vector<Parcel> parcels{{0.022, 1e-9}};
  EXPECT_NEAR(covered_ratio(parcels, 0.0, 0.025, 0.01, 1.5e-7), 0.2, 1e-12);
}

TEST(Deposit, CoverOverManyCellsEqualsCoverOverEach) {
  const auto parcels = folded_pulse(2000);
  double sum_ratio = 0.0;
  for (int i = 0; i < 10; ++i)
    sum_ratio += covered_ratio(parcels, 0.0128 * i, 0.0128 * (i + 1), 1e-4, 2e-8) / 10.0;
  EXPECT_NEAR(covered_ratio(parcels, 0.0, 0.128, 1e-4, 2e-8), sum_ratio, 2e-3);
}

}  // namespace
}  // namespace model
