// What is set on the page: refused, passed on, saved.
#include "sim/study/page/page_settings.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>

#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace {

using sim::page::PageBase;
using sim::page::Setting;
using ::testing::HasSubstr;

const PageBase kDemo{.file = SILLION_SOURCE_DIR "/scenarios/demo.toml",
                     .shown = "scenarios/demo.toml"};

std::string mistake_of(const std::vector<Setting>& settings) {
  try {
    sim::page::page_input(kDemo, settings);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return {};
}

TEST(PageSettings, RefuseKeysThatThePageDoesNotSet) {
  EXPECT_THAT(mistake_of({{"controller.library", "/tmp/x.so"}}), HasSubstr("controller.library"));
  EXPECT_THAT(mistake_of({{"seeds", "100000000"}}), HasSubstr("does not set"));
  EXPECT_THAT(mistake_of({{"travel.sped", "9 km/h"}}), HasSubstr("`travel.speed`"));
  EXPECT_THAT(mistake_of({{"fault[0].by", "4 ms"}}), HasSubstr("does not set"));
}

TEST(PageSettings, RefuseValuesAsTheLoaderDoes) {
  EXPECT_THAT(mistake_of({{"travel.speed", "9"}}), HasSubstr("travel.speed"));
  EXPECT_THAT(mistake_of({{"travel.speed", "900 km/h"}}), HasSubstr("travel.speed"));
  EXPECT_THAT(mistake_of({{"travel.speed", "[1, 2]"}}), HasSubstr("travel.speed"));
  EXPECT_THAT(mistake_of({{"attachment.name", "../../etc/passwd"}}), HasSubstr("attachment"));
  EXPECT_EQ(mistake_of({{"travel.speed", "9 km/h"}}), "");
}

TEST(PageSettings, RefuseJsonThatIsNoListOfPairs) {
  for (const char* json : {"", "{", "{}", "[1]", "[[\"a\"]]", "[[\"a\", 1]]", "null", "[[[]]]"})
    EXPECT_THROW(sim::page::settings_of_json(json), sim::text::InputError) << json;
  EXPECT_TRUE(sim::page::settings_of_json("[]").empty());
  EXPECT_EQ(sim::page::settings_of_json("[[\"a\", \"b\"]]").at(0).value, "b");
  std::string many = "[[\"a\",\"b\"]";
  for (int i = 0; i < 300; ++i) many += ",[\"a\",\"b\"]";
  EXPECT_THROW(sim::page::settings_of_json(many + "]"), sim::text::InputError);
}

// 3 s at 16 km/h are 13.33 m, and 88.9 seeds at 0.15 m.
TEST(PageSettings, PassOverThreeSecondsOfOneRow) {
  const sim::page::PageInput input = sim::page::page_input(kDemo, {});
  EXPECT_EQ(input.scenario.row.count, 1);
  EXPECT_EQ(input.scenario.seeds, 89);
  EXPECT_EQ(input.command, "sillion run scenarios/demo.toml --set row.count=1 --set seeds=89");
}

TEST(PageSettings, SaveAScenarioThatLoadsAsTheSame) {
  const std::vector<Setting> settings = {{"travel.speed", "9 km/h"},
                                         {"travel.speed", "10 km/h"},
                                         {"attachment.tube.length", "0.4 m"},
                                         {"rate.continuous", "false"}};
  support::ScratchFolder scratch;
  PageBase base = kDemo;
  base.sets = {"title=A \"quoted\" title", "seeding.doubles=3 %"};
  sim::output::write_whole_file(scratch.path() / "kept.toml",
                                sim::page::saved_scenario(base, settings, scratch.path()));
  const auto kept = sim::scenario::load_scenario(scratch.path() / "kept.toml");
  EXPECT_EQ(sim::scenario::canonical_text(kept),
            sim::scenario::canonical_text(sim::page::whole_scenario(base, settings)));
  EXPECT_EQ(kept.title, "A \"quoted\" title");
  // A path of the command line counts from the page's scenario; the saved one lies elsewhere.
  base.sets = {"controller.delay=table",
               "controller.table=catalog/attachments/short_rake.delay.toml"};
  sim::output::write_whole_file(scratch.path() / "kept.toml",
                                sim::page::saved_scenario(base, {}, scratch.path()));
  EXPECT_EQ(
      sim::scenario::load_scenario(scratch.path() / "kept.toml").controller.given.delay_time_us,
      sim::page::whole_scenario(base, {}).controller.given.delay_time_us);
  base.sets = {"fault[0].by=4 ms"};
  EXPECT_THROW(sim::page::saved_scenario(base, {}, scratch.path()), sim::text::InputError);
}

}  // namespace
