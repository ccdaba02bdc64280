// The formats of a map, number by number and feature by feature.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "sim/study/map/geopackage.h"
#include "sim/study/map/map_csv.h"
#include "sim/study/map/map_geojson.h"
#include "tests/support/run_program.h"

namespace {

using namespace sim::map;
using support::ScratchFolder;
using ::testing::HasSubstr;
using ::testing::StartsWith;

constexpr double kNone = std::numeric_limits<double>::quiet_NaN();

std::string number(double value, int decimals) {
  std::string text;
  put_number(value, decimals, text);
  return text;
}

TEST(MapFormats, NumbersHaveTheirDecimals) {
  EXPECT_EQ(number(1.0, 0), "1");
  EXPECT_EQ(number(-93.5, 9), "-93.500000000");
  EXPECT_EQ(number(0.0004, 3), "0.000");
  EXPECT_EQ(number(0.0006, 3), "0.001");
  EXPECT_EQ(number(-0.0006, 3), "-0.001");
  EXPECT_EQ(number(-0.0004, 3), "0.000");
  EXPECT_EQ(number(12.3456, 2), "12.35");
  EXPECT_EQ(number(0.05, 2), "0.05");
  EXPECT_EQ(number(kNone, 2), "");
  EXPECT_EQ(rounded_si(12.3456, 2), 12.35);
  EXPECT_FALSE(std::signbit(rounded_si(-0.0004, 3)));
}

MapFeature band() {
  MapFeature feature;
  feature.at[0] = {45.5, -93.25};
  feature.values_si = {3, 17, 1.5, 250.0, 5555.5, 60.0, -1.25, 1};
  feature.kind = "banded";
  return feature;
}

TEST(MapFormats, CsvHasAHeadAndALine) {
  const ScratchFolder scratch;
  MapCsv csv(scratch.path() / "bands.csv", bands_layer());
  csv.put(bands_layer(), band());
  csv.finish();
  EXPECT_EQ(support::text_of(scratch.path() / "bands.csv"),
            "lat_deg,lon_deg,row,seed,t_s,dose_mm3,in_band_rate_mm3_per_m2,length_mm,error_mm,"
            "bands,kind,status\n45.500000000,-93.250000000,3,17,1.500000,250.000,5555.50,60.00,"
            "-1.250,1,banded,simulated\n");
}

// RFC 7946: longitude first; a figure that does not exist is null.
TEST(MapFormats, GeoJsonIsAFeatureCollection) {
  const ScratchFolder scratch;
  MapGeoJson geojson(scratch.path() / "bands.geojson", bands_layer(), "a \"test\"");
  MapFeature merged = band();
  merged.values_si[kBandError] = kNone;
  geojson.put(bands_layer(), band());
  geojson.put(bands_layer(), merged);
  geojson.finish();
  const auto json = nlohmann::json::parse(support::text_of(scratch.path() / "bands.geojson"));
  EXPECT_EQ(json.at("type"), "FeatureCollection");
  EXPECT_EQ(json.at("status"), "simulated");
  EXPECT_EQ(json.at("about"), "a \"test\"");
  ASSERT_EQ(json.at("features").size(), 2u);
  const auto& feature = json.at("features")[0];
  EXPECT_EQ(feature.at("geometry").at("coordinates"), nlohmann::json({-93.25, 45.5}));
  EXPECT_EQ(feature.at("properties").at("dose_mm3"), 250.0);
  EXPECT_TRUE(json.at("features")[1].at("properties").at("error_mm").is_null());
}

// OGC 12-128: the application's number is GPKG in letters, at byte 68 of an SQLite file.
TEST(MapFormats, GeoPackageHasItsMarkAndTheSameBytesEachTime) {
  const ScratchFolder scratch;
  const MapLayer* layers[] = {&bands_layer(), &seconds_layer()};
  const auto write = [&](const char* name) {
    GeoPackage package(scratch.path() / name, layers, "test", "1980-01-01T00:00:00.000Z");
    package.put(bands_layer(), band());
    package.finish();
    return support::text_of(scratch.path() / name);
  };
  const std::string bytes = write("one.gpkg");
  EXPECT_THAT(bytes, StartsWith("SQLite format 3"));
  EXPECT_EQ(bytes.substr(68, 4), "GPKG");
  EXPECT_EQ(bytes, write("other.gpkg"));
}

}  // namespace
