// Zones along a way, from polygons whose crossings are worked by hand.
#include "sim/study/map/track_zones.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "sim/text/input_error.h"

namespace {

using sim::map::GeoPoint;
using sim::map::GeoRing;
using sim::map::RatePolygon;
using sim::map::WayPiece;
using sim::map::zones_along;
using ::testing::HasSubstr;

GeoRing box(double west, double south, double east, double north) {
  return {{south, west}, {south, east}, {north, east}, {north, west}, {south, west}};
}

RatePolygon polygon(const std::string& name, double rate_m3pm2, std::vector<GeoRing> rings) {
  return {name, {std::move(rings)}, rate_m3pm2};
}

/// To the east along latitude 0, a degree in ten seconds, in pieces of a second.
std::vector<WayPiece> eastwards() {
  std::vector<WayPiece> way;
  for (int k = 0; k < 10; ++k)
    way.push_back({static_cast<double>(k), k + 1.0, {0.0, 0.1 * k}, {0.0, 0.1 * (k + 1)}});
  return way;
}

TEST(TrackZones, BeginAndEndWhereTheWayCrossesTheEdge) {
  const std::vector<RatePolygon> polygons = {polygon("a", 4e-6, {box(0.25, -1, 0.55, 1)})};
  const auto zones = zones_along(polygons, eastwards());
  ASSERT_EQ(zones.size(), 1u);
  EXPECT_NEAR(zones[0].from_s, 2.5, 1e-6);
  EXPECT_NEAR(zones[0].until_s, 5.5, 1e-6);
  EXPECT_EQ(zones[0].in_band_m3pm2, 4e-6);
}

// A hole has the rate outside; a neighbour begins where the first ends; a sliver of 10 ms counts.
TEST(TrackZones, HolesNeighboursAndSlivers) {
  const std::vector<RatePolygon> polygons = {
      polygon("a", 4e-6, {box(0.1, -1, 0.5, 1), box(0.2, -0.5, 0.3, 0.5)}),
      polygon("b", 6e-6, {box(0.5, -1, 0.7, 1)}), polygon("c", 0.0, {box(0.85, -1, 0.851, 1)})};
  const auto zones = zones_along(polygons, eastwards());
  ASSERT_EQ(zones.size(), 4u);
  const double want_s[][2] = {{1, 2}, {3, 5}, {5, 7}, {8.5, 8.51}};
  for (std::size_t k = 0; k < 4; ++k) {
    EXPECT_NEAR(zones[k].from_s, want_s[k][0], 1e-6);
    EXPECT_NEAR(zones[k].until_s, want_s[k][1], 1e-6);
  }
  EXPECT_EQ(zones[2].in_band_m3pm2, 6e-6);
  EXPECT_EQ(zones[3].in_band_m3pm2, 0.0);
}

TEST(TrackZones, RingsThatCrossThemselvesAreRefused) {
  // A bow of two triangles, of the same size and of different ones.
  const std::vector<RatePolygon> even = {
      polygon("f: feature 1", 4e-6, {{{0, 0}, {1, 1}, {1, 0}, {0, 1}, {0, 0}}})};
  const std::vector<RatePolygon> uneven = {
      polygon("f: feature 1", 4e-6, {{{0, 0}, {2, 2}, {2, 0}, {0, 1}, {0, 0}}})};
  EXPECT_THAT([&] { zones_along(even, eastwards()); },
              ::testing::ThrowsMessage<sim::text::InputError>(
                  HasSubstr("f: feature 1: geometry: is no sound polygon")));
  EXPECT_THAT([&] { zones_along(uneven, eastwards()); },
              ::testing::ThrowsMessage<sim::text::InputError>(
                  HasSubstr("Geometry has invalid self-intersections")));
}

TEST(TrackZones, TwoRatesAtOnePlaceAreRefused) {
  const std::vector<RatePolygon> two = {polygon("f: feature 1", 4e-6, {box(0.1, -1, 0.5, 1)}),
                                        polygon("f: feature 2", 6e-6, {box(0.4, -1, 0.7, 1)})};
  EXPECT_THAT([&] { zones_along(two, eastwards()); },
              ::testing::ThrowsMessage<sim::text::InputError>(
                  HasSubstr("f: feature 2: overlaps f: feature 1")));
}

TEST(TrackZones, AWayBesideAllPolygonsHasNoZone) {
  EXPECT_TRUE(zones_along({{polygon("a", 4e-6, {box(0, 1, 1, 2)})}}, eastwards()).empty());
}

TEST(TrackZones, TheSetIsOneThatTheLoaderTakes) {
  const sim::scenario::RateZone zones[] = {{1.5, 3.0, 4e-6}, {3.0, 4.25, 0.0}};
  EXPECT_EQ(
      sim::map::zones_set(zones),
      "rate.zone=[{from = \"1.5 s\", until = \"3 s\", in_band = \"4e-06 m3/m2\"}, {from = \"3 "
      "s\", until = \"4.25 s\", in_band = \"0 m3/m2\"}]");
}

}  // namespace
