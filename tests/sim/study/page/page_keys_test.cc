// The keys that the page sets: all that a study may vary, and none that opens a file.
#include "sim/study/page/page_keys.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <set>

#include "sim/scenario/loader.h"

namespace {

using sim::output::Units;
using sim::page::page_keys;
using sim::page::PageKey;

std::set<std::string> names_of(const std::vector<PageKey>& keys) {
  std::set<std::string> names;
  for (const PageKey& key : keys) names.insert(key.key);
  return names;
}

const std::filesystem::path kFolder = SILLION_SOURCE_DIR "/scenarios";

const sim::scenario::Scenario& demo() {
  static const sim::scenario::Scenario scenario =
      sim::scenario::load_scenario(SILLION_SOURCE_DIR "/scenarios/demo.toml");
  return scenario;
}

TEST(PageKeys, HoldWhatAStudyVaries) {
  const std::set<std::string> names = names_of(page_keys(demo(), Units::kMetric));
  for (const char* key :
       {"travel.speed", "seeding.spacing", "rate.in_band", "rate.band_length", "supply.pressure",
        "liquid.temperature", "attachment.outlet.bore", "attachment.tube.length",
        "attachment.outlet_offset", "controller.delay_time_error",
        "controller.delay_distance_error", "controller.delay_time", "controller.delay_distance",
        "attachment.name", "liquid.name", "noise.speed_noise", "attachment.valve.coil.resistance",
        "rate.continuous"})
    EXPECT_EQ(names.count(key), 1u) << key;
}

// Each of these names a file, or says how much is computed.
TEST(PageKeys, LeaveOutFilesAndTheSizeOfTheWork) {
  const std::set<std::string> names = names_of(page_keys(demo(), Units::kMetric));
  for (const char* key :
       {"controller.library", "controller.table", "controller.storage", "travel.log",
        "seeding.spacings", "attachment.valve.file", "attachment.valve.coil.table", "base",
        "row.count", "seeds", "duration", "solver.form", "solver.step", "tuning.seeds", "title"})
    EXPECT_EQ(names.count(key), 0u) << key;
}

TEST(PageKeys, SlidersStandFirstAndHoldTheScenariosValue) {
  bool fields_begun = false;
  std::size_t sliders = 0;
  for (const PageKey& key : page_keys(demo(), Units::kUs)) {
    if (key.label.empty()) {
      fields_begun = true;
      continue;
    }
    EXPECT_FALSE(fields_begun) << key.key;
    EXPECT_LE(key.from_si, key.value_si) << key.key;
    EXPECT_GE(key.to_si, key.value_si) << key.key;
    EXPECT_LT(key.from_si, key.to_si) << key.key;
    ++sliders;
  }
  EXPECT_GE(sliders, 12u);
}

TEST(PageKeys, OfferTheNamesOfTheCatalogs) {
  const auto json =
      nlohmann::json::parse(sim::page::page_keys_json(demo(), Units::kMetric, kFolder));
  std::size_t offered = 0;
  for (const auto& key : json["keys"])
    if (key.contains("catalog")) {
      EXPECT_THAT(key["words"], testing::Contains(key["value"])) << key["key"];
      EXPECT_GE(key["words"].size(), 3u) << key["key"];
      ++offered;
    }
  EXPECT_EQ(offered, 2u);
}

// 16 km/h are 9.94 mph: 16 / 1.609344 (the international mile of 1959).
TEST(PageKeys, AreShownInTheUnitsThatPeopleRead) {
  const auto speed_of = [](Units units) {
    const auto json = nlohmann::json::parse(sim::page::page_keys_json(demo(), units, kFolder));
    return json["keys"][0]["slider"]["number"].get<double>();
  };
  EXPECT_DOUBLE_EQ(speed_of(Units::kMetric), 16.0);
  EXPECT_NEAR(speed_of(Units::kUs), 16.0 / 1.609344, 1e-4);
}

}  // namespace
