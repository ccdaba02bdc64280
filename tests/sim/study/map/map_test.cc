// A map of a made-up result, read back by readers that know nothing of this program.
#include "sim/study/map/map.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "sim/study/map/map_words.h"
#include "tests/support/made_result.h"
#include "tests/support/map_reader.h"

namespace {

using sim::map::FieldPlace;
using sim::map::MapTotals;
using support::ScratchFolder;
using ::testing::HasSubstr;

constexpr support::MadeResult kMade{.rows = 2, .seconds = 30, .bands_in_second = 5};

struct Made {
  ScratchFolder scratch;
  std::filesystem::path map = scratch.path() / "map";
  sim::map::KeptRun run;
  MapTotals totals;

  explicit Made(const sim::map::FieldLayout& layout = {}, const sim::map::MapChoice& choice = {}) {
    support::write_made_result(scratch.path() / "run", kMade);
    run = sim::map::read_kept_run(scratch.path() / "run");
    sim::output::StreamedFolder folder(map);
    totals = sim::map::write_map(run, FieldPlace::laid(run, layout), choice, folder);
    folder.finish();
  }
};

TEST(Map, SumsOfBandsAndSecondsAreWhatWasApplied) {
  const Made made;
  EXPECT_EQ(made.totals.bands, 2 * 30 * 5);
  EXPECT_EQ(made.totals.stray, 0);
  EXPECT_EQ(made.totals.lines, 2 * 30);
  EXPECT_NEAR(made.totals.bands_volume_m3, kMade.volume_m3(), 1e-14);
  EXPECT_NEAR(made.totals.seconds_volume_m3, kMade.volume_m3(), 1e-14);
  EXPECT_NEAR(made.totals.area_m2, 2 * 30 * 4.0 * 0.75, 1e-9);
}

// GDAL opens the three formats and adds up the same total, to 0.1 %.
TEST(Map, GdalReadsTheSameTotals) {
  if (!support::has_gdal()) GTEST_SKIP() << "gdal-bin (ogrinfo) is not installed";
  const Made made;
  const double want_mm3 = kMade.volume_m3() * 1e9;
  for (const char* file : {"map.gpkg", "bands.geojson", "bands.csv"}) {
    EXPECT_NEAR(support::ogr_number(made.map / file, "SELECT SUM(dose_mm3) FROM bands"), want_mm3,
                want_mm3 * 1e-3)
        << file;
    EXPECT_EQ(support::ogr_number(made.map / file, "SELECT COUNT(*) FROM bands"), 300) << file;
  }
  for (const char* file : {"map.gpkg", "seconds.geojson", "seconds.csv"})
    EXPECT_NEAR(support::ogr_number(made.map / file, "SELECT SUM(volume_mm3) FROM seconds"),
                want_mm3, want_mm3 * 1e-3)
        << file;
}

TEST(Map, GdalKnowsLayersPlacesAndWhatTheyAre) {
  if (!support::has_gdal()) GTEST_SKIP() << "gdal-bin (ogrinfo) is not installed";
  const Made made({.origin = {45.5, -93.5}});
  const support::Ended ended =
      support::run_program({"ogrinfo", "-so", "-al", (made.map / "map.gpkg").string()});
  EXPECT_EQ(ended.code, 0);
  EXPECT_EQ(ended.err, "");
  EXPECT_THAT(ended.out, HasSubstr("Geometry: Point"));
  EXPECT_THAT(ended.out, HasSubstr("Geometry: Line String"));
  EXPECT_THAT(ended.out, HasSubstr("DESCRIPTION=SIMULATED, not a record of what was applied"));
  EXPECT_THAT(ended.out, HasSubstr("WGS 84"));
  EXPECT_THAT(ended.out, HasSubstr("The place is INVENTED"));
  // The first band of row 0 lies 0.375 m left of the origin; at 45.5 degrees a degree of longitude
  // has 78 km, so its longitude is 4.8e-6 degrees less.
  EXPECT_THAT(ended.out, HasSubstr("Extent: (-93.500005, 45.500004)"));
}

// The status stands in every feature, line and file.
TEST(Map, EveryLineSaysThatItIsSimulated) {
  const Made made;
  for (const char* file : {"bands.csv", "seconds.csv", "bands.geojson", "seconds.geojson"}) {
    const std::string text = support::text_of(made.map / file);
    const bool json = text.front() == '{';
    std::size_t from = json ? 0 : text.find('\n') + 1, lines = 0;
    while (from < text.size()) {
      const std::string line = text.substr(from, text.find('\n', from) - from);
      from += line.size() + 1;
      if (line == "]}") continue;
      ++lines;
      EXPECT_THAT(line, HasSubstr("simulated")) << file;
    }
    EXPECT_GE(lines, 60u) << file;
  }
}

// Of five bands in a second one is beside no seed: it becomes a point of its own with what is left.
TEST(Map, ABandBesideNoSeedIsInTheTotal) {
  const ScratchFolder scratch;
  const support::MadeResult made_up{.rows = 1, .seconds = 2, .bands_in_second = 5};
  support::write_made_result(scratch.path() / "run", made_up);
  const auto file = scratch.path() / "run" / "seeds.csv";
  std::string text = support::text_of(file);
  const std::size_t at = text.find("\n0,7,") + 1;
  text.erase(at, text.find('\n', at) + 1 - at);
  std::ofstream(file, std::ios::binary) << text;
  const sim::map::KeptRun run = sim::map::read_kept_run(scratch.path() / "run");
  sim::output::StreamedFolder folder(scratch.path() / "map");
  const MapTotals totals = sim::map::write_map(run, FieldPlace::laid(run, {}), {}, folder);
  folder.finish();
  EXPECT_EQ(totals.bands, 10);
  EXPECT_EQ(totals.stray, 1);
  EXPECT_NEAR(totals.bands_volume_m3, made_up.volume_m3(), 1e-15);
  EXPECT_THAT(support::text_of(scratch.path() / "map" / "bands.csv"),
              ::testing::ContainsRegex("\n[0-9.,-]*,1\\.000000,250\\.000,,,,1,stray,simulated\n"));
}

TEST(Map, WritesWhatIsChosenAlone) {
  const Made made({}, {.geojson = false, .csv = false, .task = false, .bands = false});
  EXPECT_THAT(made.totals.files, ::testing::ElementsAre("map.gpkg"));
  EXPECT_EQ(made.totals.bands, 0);
  EXPECT_FALSE(std::filesystem::exists(made.map / "TASKDATA"));
}

TEST(Map, FilesOfAnEarlierMapGoAway) {
  const Made made;
  const MapTotals table{.files = {"seconds.csv"}};
  sim::map::remove_others(table, made.map);
  EXPECT_TRUE(std::filesystem::exists(made.map / "seconds.csv"));
  for (const char* name : {"map.gpkg", "bands.csv", "bands.geojson", "TASKDATA"})
    EXPECT_FALSE(std::filesystem::exists(made.map / name)) << name;
}

TEST(Map, TheSummaryHoldsTotalsAndPlace) {
  const Made made;
  const FieldPlace place = FieldPlace::laid(made.run, {});
  const auto json = nlohmann::json::parse(sim::map::map_json(made.run, place, made.totals));
  EXPECT_EQ(json.at("schema"), "sillion.map.1");
  EXPECT_EQ(json.at("status"), "simulated");
  EXPECT_EQ(json.at("place"), "invented");
  EXPECT_EQ(json.at("begins"), "1980-01-01T00:00:00.000Z");
  EXPECT_NEAR(json.at("bands_volume_m3").get<double>(), kMade.volume_m3(), 1e-14);
  EXPECT_NEAR(json.at("south_deg").get<double>(), 30.0, 1e-5);
  const auto lines = sim::map::map_lines(made.run, place, made.totals, sim::output::Units::kMetric);
  EXPECT_THAT(lines.front(), HasSubstr("300 simulated bands of 2 rows"));
  EXPECT_THAT(lines, ::testing::Contains(HasSubstr("invented")));
}

}  // namespace
