// Prescription maps as GeoJSON and GeoPackage; the latter as GDAL writes them.
#include "sim/study/map/prescription.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>

#include "sim/text/input_error.h"
#include "tests/support/map_reader.h"

namespace {

using sim::map::RatePolygon;
using support::ScratchFolder;
using ::testing::HasSubstr;

constexpr const char* kSquare =
    "[[[0,0],[1,0],[1,1],[0,1],[0,0]],"
    "[[0.2,0.2],[0.2,0.4],[0.4,0.4],[0.4,0.2],[0.2,0.2]]]";

std::string feature(const std::string& properties, const std::string& type = "Polygon",
                    const std::string& coordinates = kSquare) {
  return R"({"type":"Feature","properties":{)" + properties + R"(},"geometry":{"type":")" + type +
         R"(","coordinates":)" + coordinates + "}}";
}

std::string collection(const std::string& features) {
  return R"({"type":"FeatureCollection","features":[)" + features + "]}";
}

std::vector<RatePolygon> read(const std::string& text, const char* name = "field.geojson") {
  const ScratchFolder scratch;
  std::ofstream(scratch.path() / name, std::ios::binary) << text;
  return sim::map::read_prescription(scratch.path() / name);
}

std::string mistake_of(const std::string& text) {
  try {
    read(text);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "none";
}

// 6 gal/ac = 6 * 3.785411784e-3 m3 / 4046.8564224 m2; 50 l/ha = 5e-6 m3/m2.
TEST(Prescription, RatesAreTextOrNumbersWithAUnit) {
  const auto polygons = read(collection(feature(R"("in_band_rate":"6 gal/ac")") + "," +
                                        feature(R"("in_band_rate":50,"in_band_rate_unit":"l/ha")",
                                                "MultiPolygon", std::string("[") + kSquare + "]")));
  ASSERT_EQ(polygons.size(), 2u);
  EXPECT_NEAR(polygons[0].in_band_m3pm2, 6 * 3.785411784e-3 / 4046.8564224, 1e-15);
  EXPECT_NEAR(polygons[1].in_band_m3pm2, 5e-6, 1e-18);
  ASSERT_EQ(polygons[0].parts.size(), 1u);
  EXPECT_EQ(polygons[0].parts[0].size(), 2u) << "a ring and its hole";
  EXPECT_EQ(polygons[0].parts[0][0][1].lon_deg, 1.0);
  EXPECT_EQ(polygons[0].parts[0][0][1].lat_deg, 0.0);
}

TEST(Prescription, MistakesNameFeatureAndProperty) {
  EXPECT_THAT(mistake_of(collection(feature(R"("in_band_rat":"6 gal/ac")"))),
              HasSubstr("field.geojson: feature 1: in_band_rate: this property is missing; nearest "
                        "name there: `in_band_rat`"));
  EXPECT_THAT(mistake_of(collection(feature(R"("in_band_rate":6)"))),
              HasSubstr("in_band_rate: a number has no unit; state it in `in_band_rate_unit`"));
  EXPECT_THAT(mistake_of(collection(feature(R"("in_band_rate":"6 gal/acre")"))),
              HasSubstr("nearest valid unit: `gal/ac`"));
  EXPECT_THAT(mistake_of(collection(feature(R"("in_band_rate":"-6 gal/ac")"))),
              HasSubstr("out of range"));
  EXPECT_THAT(mistake_of(collection(feature(R"("in_band_rate":"6 gal/ac")", "Point", "[0,0]"))),
              HasSubstr("geometry: is a Point"));
  EXPECT_THAT(mistake_of(R"({"features":[{"properties":{"in_band_rate":"6 gal/ac"},)"
                         R"("geometry":{"type":5,"coordinates":[]}}]})"),
              HasSubstr("feature 1: geometry: is missing"));
  EXPECT_THAT(mistake_of(collection(feature(R"("in_band_rate":"6 gal/ac")", "Polygon",
                                            "[[[0,0],[1,0],[1,1],[0,1]]]"))),
              HasSubstr("a ring is open"));
  EXPECT_THAT(mistake_of(collection(feature(R"("in_band_rate":"6 gal/ac")", "Polygon",
                                            "[[[500000,0],[1,0],[1,1],[500000,0]]]"))),
              HasSubstr("these are no degrees"));
  EXPECT_THAT(mistake_of(collection("")), HasSubstr("holds no feature"));
  EXPECT_THAT(mistake_of("{"), HasSubstr("is no JSON"));
  EXPECT_THAT(mistake_of("[]"), HasSubstr("is no GeoJSON"));
  EXPECT_THAT(mistake_of(R"({"crs":{"properties":{"name":"EPSG:32615"}},"features":[]})"),
              HasSubstr("crs: is not WGS 84"));
  EXPECT_THAT([] { read("", "field.shp"); },
              ::testing::ThrowsMessage<sim::text::InputError>(HasSubstr("ends in .geojson")));
}

TEST(Prescription, AGeoPackageOfGdalHoldsTheSame) {
  if (!support::has_gdal()) GTEST_SKIP() << "gdal-bin (ogr2ogr) is not installed";
  const ScratchFolder scratch;
  const auto json = scratch.path() / "field.geojson", package = scratch.path() / "field.gpkg";
  std::ofstream(json, std::ios::binary) << collection(
      feature(R"("in_band_rate":"6 gal/ac")") + "," + feature(R"("in_band_rate":"0 gal/ac")"));
  ASSERT_EQ(support::run_program({"ogr2ogr", package.string(), json.string()}).code, 0);
  const auto of_json = sim::map::read_prescription(json);
  const auto of_package = sim::map::read_prescription(package);
  ASSERT_EQ(of_package.size(), of_json.size());
  for (std::size_t k = 0; k < of_json.size(); ++k) {
    EXPECT_EQ(of_package[k].in_band_m3pm2, of_json[k].in_band_m3pm2);
    ASSERT_EQ(of_package[k].parts.size(), 1u);
    ASSERT_EQ(of_package[k].parts[0].size(), 2u);
    EXPECT_EQ(of_package[k].parts[0][1][2].lon_deg, of_json[k].parts[0][1][2].lon_deg);
    EXPECT_EQ(of_package[k].parts[0][1][2].lat_deg, of_json[k].parts[0][1][2].lat_deg);
  }
}

TEST(Prescription, AFileThatIsNoGeoPackageIsRefused) {
  const ScratchFolder scratch;
  const auto file = scratch.path() / "field.gpkg";
  std::ofstream(file, std::ios::binary) << std::string(4096, 'x');
  EXPECT_ANY_THROW(sim::map::read_prescription(file));
  EXPECT_THAT([&] { sim::map::read_prescription(scratch.path() / "none.gpkg"); },
              ::testing::ThrowsMessage<sim::text::InputError>(HasSubstr("no such file")));
}

}  // namespace
