// The answers of the page: the same figures as the command line that it shows, and a coarse answer
// that differs from the full one only by what it says.
#include "sim/study/page/page_row.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "sim/text/input_error.h"
#include "tests/support/manual_pages.h"
#include "tests/support/run_program.h"

namespace {

using nlohmann::json;
using sim::output::Units;
using sim::page::PageBase;
using sim::page::PageInput;
using sim::page::RowDesk;
using sim::page::Setting;
using ::testing::HasSubstr;

const PageBase kDemo{.file = SILLION_SOURCE_DIR "/scenarios/demo.toml",
                     .shown = "scenarios/demo.toml"};
// Rows without valve and column, which take a thirtieth of the time.
const Setting kIdeal{"row.physics", "ideal"};

PageInput ideal_input(std::vector<Setting> settings = {}) {
  settings.push_back(kIdeal);
  return sim::page::page_input(kDemo, settings);
}

json json_of(const sim::page::RowAnswer& answer, const PageInput& input) {
  return json::parse(sim::page::row_json(answer, input, Units::kMetric));
}

/// What the command prints with --json, run in a folder of its own.
json printed_by(const std::string& command) {
  const support::FencedBlock block{.page = "", .language = "sh", .lines = {command}};
  std::vector<std::string> words = support::examples_of(block).at(0).words;
  words.erase(words.begin());
  support::ScratchFolder scratch;
  words.push_back("--json");
  if (words[0] == "run") words.insert(words.end(), {"--out", (scratch.path() / "out").string()});
  return json::parse(support::sillion(words).out);
}

TEST(PageRow, GivesTheFiguresOfTheCommandLineThatItShows) {
  const PageInput input = ideal_input({{"travel.speed", "12 km/h"}, {"seeding.spacing", "0.2 m"}});
  RowDesk desk;
  const json row = json_of(desk.full(input), input);
  const json run = printed_by(row["command"]);
  for (const char* key : {"seeds", "within", "placement_error_m", "band_length_m", "dose_m3",
                          "gap_ratio", "on_target_ratio", "field_rate_m3pm2"})
    EXPECT_EQ(row["figures"][key], run[key]) << key;
  EXPECT_EQ(row["jet"], run["jet"]);
  EXPECT_EQ(row["requirements"], run["requirements"]);
  EXPECT_EQ(row["answer"], "full");
}

TEST(PageRow, DrawsEverySeedWithItsBand) {
  const PageInput input = ideal_input();
  RowDesk desk;
  const json row = json_of(desk.full(input), input);
  ASSERT_EQ(row["seeds"].size(), 89u);
  double sum_m = 0.0;
  int known = 0;
  for (const json& seed : row["seeds"])
    if (!seed["error_m"].is_null()) {
      sum_m += seed["error_m"].get<double>();
      ++known;
    }
  EXPECT_NEAR(sum_m / known, row["figures"]["placement_error_m"]["mean"].get<double>(), 1e-12);
  // The window of the line density is 3 m in cells of 1 mm, and bands cover it in part.
  EXPECT_EQ(row["density"]["mm3_per_m"].size(), 3000u);
  EXPECT_EQ(row["wanted"]["band_length_m"], 0.06);
}

// The delay law moves b with the offset one to one (sim/study/tune/tune.h), and of an ideal row
// nothing else depends on it: the coarse answer then is the full one.
TEST(PageRow, ACoarseAnswerFollowsTheOffsetWithoutTuning) {
  // A strip test reads its tape again for each setting; without trims only the table is left.
  const Setting untrimmed{"controller.row_trim", "false"};
  RowDesk desk;
  desk.full(ideal_input({untrimmed}));
  for (const Setting& setting :
       {Setting{"attachment.outlet_offset", "90 mm"},
        Setting{"controller.delay_time_error", "2 ms"},
        Setting{"controller.delay_distance_error", "-8 mm"}, Setting{"travel.speed", "10 km/h"}}) {
    const PageInput input = ideal_input({setting, untrimmed});
    json coarse = json_of(desk.coarse(input), input);
    EXPECT_EQ(coarse["answer"], "coarse");
    EXPECT_THAT(coarse["words"].get<std::string>(), HasSubstr("last full answer"));
    RowDesk fresh;
    const json full = json_of(fresh.full(input), input);
    const auto mean_m = [](const json& row) {
      return row["figures"]["placement_error_m"]["mean"].get<double>();
    };
    EXPECT_NEAR(mean_m(coarse), mean_m(full), 0.02e-3) << setting.key;  // whole microseconds
    EXPECT_NEAR(coarse["delay"]["distance_m"].get<double>(),
                full["delay"]["distance_m"].get<double>(), 1.5e-6)
        << setting.key;
  }
}

TEST(PageRow, ACoarseAnswerToTheSameSettingIsTheFullOne) {
  RowDesk desk;
  const PageInput input = sim::page::page_input(kDemo, {{"controller.row_trim", "false"}});
  json full = json_of(desk.full(input), input);
  json coarse = json_of(desk.coarse(input), input);
  for (const char* key : {"answer", "words"}) {
    full.erase(key);
    coarse.erase(key);
  }
  EXPECT_EQ(coarse, full);
}

TEST(PageRow, AnAttachmentThatCannotServeIsToldWithTheOffsetThatWould) {
  RowDesk desk;
  const PageInput input = ideal_input({{"attachment.outlet_offset", "-300 mm"}});
  EXPECT_THROW(desk.full(input), sim::text::InputError);
}

TEST(PageRow, ASeedIsExplainedAsTheCommandDoes) {
  const PageInput input = ideal_input();
  const json seed = json::parse(sim::page::seed_json(input, 40));
  EXPECT_EQ(seed["explain"], printed_by(seed["command"]));
  const std::size_t instants = seed["wave"]["time_s"].size();
  EXPECT_GT(instants, 100u);
  EXPECT_LE(instants, 801u);
  for (const auto& [name, column] : seed["wave"].items())
    EXPECT_EQ(column.size(), instants) << name;
  EXPECT_THROW(sim::page::seed_json(input, 100'000), sim::text::InputError);
  EXPECT_THROW(sim::page::seed_json(input, -1), sim::text::InputError);
}

}  // namespace
