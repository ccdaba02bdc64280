// `sillion map` from end to end: a pass is run, its map is read by other programs, and a map of
// rates drives the set points of another pass.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/support/map_reader.h"

namespace {

namespace fs = std::filesystem;
using nlohmann::json;
using support::ScratchFolder;
using support::sillion;
using ::testing::HasSubstr;

/// Ideal rows: the map's totals do not depend on the physics, and a pass takes a moment.
std::vector<std::string> short_run(const fs::path& out, const std::string& scenario = "demo") {
  return {"run",    "scenarios/" + scenario + ".toml",
          "--set",  "row.physics=ideal",
          "--set",  "controller.row_trim=false",
          "--set",  "require=[]",
          "--set",  "row.count=3",
          "--out",  out.string(),
          "--quiet"};
}

json summary_of(const fs::path& folder) {
  return json::parse(support::text_of(folder / "summary.json"));
}

TEST(MapCommand, AnotherProgramAddsUpWhatTheRunApplied) {
  if (!support::has_gdal() || !support::has_python())
    GTEST_SKIP() << "gdal-bin (ogrinfo) or python3 is not installed";
  const ScratchFolder scratch;
  std::vector<std::string> words = short_run(scratch.path() / "run");
  words.insert(words.end(), {"--set", "seeds=60"});
  ASSERT_EQ(sillion(words).code, 0);
  const fs::path map = scratch.path() / "map";
  const support::Ended ended =
      sillion({"map", (scratch.path() / "run").string(), "--out", map.string(), "--quiet"});
  ASSERT_EQ(ended.code, 0) << ended.err;
  EXPECT_THAT(ended.out, HasSubstr("not a record of what was applied"));
  const double applied_mm3 =
      summary_of(scratch.path() / "run")["applied_volume_m3"].get<double>() * 1e9;
  EXPECT_GT(applied_mm3, 0.0);
  EXPECT_NEAR(support::ogr_number(map / "map.gpkg", "SELECT SUM(dose_mm3) FROM bands"), applied_mm3,
              applied_mm3 * 1e-3);
  EXPECT_NEAR(support::ogr_number(map / "map.gpkg", "SELECT SUM(volume_mm3) FROM seconds"),
              applied_mm3, applied_mm3 * 1e-3);
  const std::string task = support::task_figures(map);
  EXPECT_NEAR(std::stod(support::figure_of(task, "rate_volume_m3")) * 1e9, applied_mm3,
              applied_mm3 * 1e-3)
      << task;
}

// The recorded drive of the demo: the receiver's first fix, and its clock.
TEST(MapCommand, ARecordedDriveLiesWhereItWasDriven) {
  if (!support::has_python()) GTEST_SKIP() << "python3 is not installed";
  const ScratchFolder scratch;
  std::vector<std::string> words = short_run(scratch.path() / "run", "demo_recorded_drive");
  words.insert(words.end(), {"--set", "duration=20 s", "--set", "row.count=2"});
  // A seed may be due at once where the recorded speed jumps; what was applied is a result even so.
  ASSERT_LE(sillion(words).code, 1);
  const fs::path map = scratch.path() / "map";
  const support::Ended ended =
      sillion({"map", (scratch.path() / "run").string(), "--out", map.string(), "--log",
               "tests/data/recorded_drive.nmea", "--quiet"});
  ASSERT_EQ(ended.code, 0) << ended.err;
  const std::string task = support::task_figures(map);
  EXPECT_NEAR(std::stod(support::figure_of(task, "first_north")), 52.85, 1e-3) << task;
  EXPECT_NEAR(std::stod(support::figure_of(task, "first_east")), 5.3136, 1e-3);
  EXPECT_EQ(support::figure_of(task, "first_day"), "14111");  // 2018-08-20
  EXPECT_EQ(support::figure_of(task, "statuses"), "[8]");
  EXPECT_THAT(support::text_of(map / "map.json"), HasSubstr("recorded drive"));
}

// The northern half of the pass has twice the rate: applied.csv has it second by second.
TEST(MapCommand, APrescriptionDrivesTheSetPoints) {
  const ScratchFolder scratch;
  const fs::path rates = scratch.path() / "rates.geojson";
  // 4 m of latitude are 3.6e-5 degrees: from 8 m to 200 m north of the origin.
  std::ofstream(rates, std::ios::binary)
      << R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":)"
      << R"({"in_band_rate":"12 gal/ac"},"geometry":{"type":"Polygon","coordinates":)"
      << R"([[[-41,30.000072],[-39,30.000072],[-39,30.0018],[-41,30.0018],[-41,30.000072]]]}}]})";
  std::vector<std::string> words = short_run(scratch.path() / "run");
  words.insert(words.end(), {"--set", "seeds=60", "--prescription", rates.string()});
  const support::Ended ended = sillion(words);
  ASSERT_LE(ended.code, 1) << ended.err;
  const std::string applied = support::text_of(scratch.path() / "run" / "applied.csv");
  // 6 and 12 gal/ac are 5.6124e-6 and 1.12247e-5 m3/m2; 8 m at 16 km/h are 1.8 s.
  EXPECT_THAT(applied, HasSubstr("\n0,0,1,-0.762,0,4.44"));
  EXPECT_THAT(applied, ::testing::ContainsRegex("\n0,0,1,[^\n]*,5\\.6123"));
  EXPECT_THAT(applied, ::testing::ContainsRegex("\n0,2,3,[^\n]*,1\\.12247"));
}

TEST(MapCommand, MistakesAreTold) {
  const ScratchFolder scratch;
  const auto error_of = [](const std::vector<std::string>& words) {
    const support::Ended ended = sillion(words);
    EXPECT_EQ(ended.code, 2);
    return ended.err;
  };
  EXPECT_THAT(error_of({"map", "scenarios"}), HasSubstr("holds no summary.json"));
  EXPECT_THAT(error_of({"map", "scenarios", "--format", "geopackage"}),
              HasSubstr("--format: unknown `geopackage`"));
  EXPECT_THAT(error_of({"map", "scenarios", "--layers", "band"}),
              HasSubstr("nearest valid name: `bands`"));
  EXPECT_THAT(error_of({"run", "scenarios/demo.toml", "--origin", "1,2"}),
              HasSubstr("none is stated"));
  EXPECT_THAT(error_of({"run", "scenarios/demo.toml", "--prescription", "none.geojson"}),
              HasSubstr("none.geojson"));
}

}  // namespace
