// What the row's module knows and answers, as the program itself computes it: contents that come
// back exactly, keys that lead where the loader leads, the page's own coarse answer.
#include "sim/command/browser/row_module.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <functional>
#include <map>

#include "sim/command/browser/standalone.h"
#include "sim/scenario/loader.h"
#include "sim/study/page/page_field.h"
#include "sim/text/input_error.h"
#include "tests/support/run_program.h"

namespace {

using sim::command::RowContents;
using sim::command::RowModule;
using sim::page::PageBase;
using sim::page::Setting;
using ::testing::HasSubstr;
using ::testing::Not;

PageBase base_of(const std::string& file) {
  return {.file = std::string(SILLION_SOURCE_DIR "/scenarios/") + file,
          .shown = "scenarios/" + file};
}

const Setting kIdealRow{"row.physics", "ideal"};  // takes a thirtieth of the time

std::string refusal_of(const std::function<void()>& what) {
  try {
    what();
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "";
}

// The demo, a drive with knots, a list of spacings, US units: nothing is lost on the way.
TEST(RowContents, ComeBackExactly) {
  for (const char* file : {"demo.toml", "demo_ramp.toml", "demo_marginal.toml", "demo_gravity.toml",
                           "pull_request_row.toml"}) {
    RowContents contents = sim::command::contents_for(base_of(file), {});
    contents.units = sim::output::Units::kUs;
    const RowContents read = sim::command::read_contents(contents_text(contents));
    EXPECT_EQ(sim::scenario::canonical_text(read.scenario),
              sim::scenario::canonical_text(contents.scenario))
        << file;
    EXPECT_EQ(read.scenario.name, contents.scenario.name);
    EXPECT_EQ(read.scenario.title, contents.scenario.title);
    EXPECT_EQ(read.command, "sillion run scenarios/" + std::string(file));
    EXPECT_EQ(read.units, sim::output::Units::kUs);
    EXPECT_FALSE(read.known.has_value());
  }
}

TEST(RowContents, RefuseWhatTheyCannotCarry) {
  const auto refused = [](const std::string& file, std::vector<std::string> sets = {}) {
    PageBase base = base_of(file);
    base.sets = std::move(sets);
    return refusal_of([&] { contents_text(sim::command::contents_for(base, {})); });
  };
  EXPECT_THAT(refused("demo_zones.toml"), HasSubstr("rate.zone"));
  EXPECT_THAT(refused("demo.toml", {"fault=[{kind=\"stale_speed\", from=\"1 s\"}]"}),
              HasSubstr("fault."));
  EXPECT_THAT(refused("pull_request_flow.toml"), HasSubstr("nothing from a file"));
  EXPECT_THAT(refusal_of([] { sim::command::read_contents("[scenario]\n"); }),
              HasSubstr("first line"));
}

// The loader says where a key leads; a key from which another one followed would differ.
TEST(RowModule, SetsEachOfItsKeysAsTheLoaderDoes) {
  const PageBase base = base_of("demo.toml");
  const RowContents contents = sim::command::contents_for(base, {});
  const std::map<std::string, std::string> values = {{"travel.speed", "7.5 mph"},
                                                     {"seeding.spacing", "4 in"},
                                                     {"rate.in_band", "61 l/ha"},
                                                     {"rate.band_length", "43 mm"},
                                                     {"supply.pressure", "3.3 bar"},
                                                     {"supply.voltage", "11.7 V"},
                                                     {"attachment.outlet_offset", "123 mm"},
                                                     {"attachment.jet.drop_height", "31 mm"},
                                                     {"controller.delay_time_error", "-1.3 ms"},
                                                     {"controller.delay_distance_error", "7 mm"}};
  ASSERT_EQ(sim::command::module_keys().size(), values.size());
  for (const std::string_view key : sim::command::module_keys()) {
    const std::vector<Setting> settings = {{std::string(key), values.at(std::string(key))}};
    sim::scenario::Scenario here = sim::command::with_settings(contents.scenario, settings);
    sim::page::take_page_field(here);
    const std::string loaded =
        sim::scenario::canonical_text(sim::page::page_input(base, settings).scenario);
    EXPECT_EQ(sim::scenario::canonical_text(here), loaded) << key;
    EXPECT_NE(loaded, sim::scenario::canonical_text(contents.scenario)) << key;
  }
}

TEST(RowModule, RefusesKeysThatLeadFurtherAndValuesOutOfRange) {
  const RowContents contents = sim::command::contents_for(base_of("demo.toml"), {});
  const auto refused = [&](const RowContents& known, const Setting& one) {
    return refusal_of([&] { sim::command::with_settings(known.scenario, {one}); });
  };
  EXPECT_THAT(refused(contents, {"liquid.temperature", "20 C"}), HasSubstr("does not set"));
  EXPECT_THAT(refused(contents, {"travel.speed", "900 km/h"}), HasSubstr("out of range"));
  EXPECT_THAT(refused(contents, {"travel.speed", "fast"}), HasSubstr("travel.speed"));
  EXPECT_EQ(refused(contents, {"travel.speed", "9 km/h"}), "");
  // Keys that contradict each other are refused in the loader's own words.
  for (const Setting& one : {Setting{"travel.speed", "0 km/h"}, {"supply.pressure", "0.01 bar"}}) {
    const std::string words = refused(contents, one);
    EXPECT_EQ(words, refusal_of([&] { sim::page::page_input(base_of("demo.toml"), {one}); }));
    EXPECT_THAT(words, HasSubstr("--set " + one.key));
  }
  // A drive states its own speeds.
  const RowContents ramp = sim::command::contents_for(base_of("demo_ramp.toml"), {});
  EXPECT_THAT(refused(ramp, {"travel.speed", "9 km/h"}), HasSubstr("does not set"));
  RowModule module(contents_text(contents));
  EXPECT_THAT(refusal_of([&] { module.answer("sweep\n"); }), HasSubstr("no such answer"));
}

TEST(RowModule, AnswersCoarselyAsThePageDoes) {
  const PageBase base = base_of("demo.toml");
  sim::page::RowDesk desk;
  desk.full(sim::page::page_input(base, {kIdealRow}));
  RowContents contents = sim::command::contents_for(base, {kIdealRow});
  contents.known = desk.kept();
  RowModule module(contents_text(contents));
  const std::vector<Setting> settings = {
      kIdealRow, {"travel.speed", "11 km/h"}, {"attachment.outlet_offset", "95 mm"}};
  const sim::page::PageInput input = sim::page::page_input(base, settings);
  EXPECT_EQ(module.answer("coarse\ntravel.speed=11 km/h\nattachment.outlet_offset=95 mm\n"),
            sim::page::row_json(desk.coarse(input), input, sim::output::Units::kMetric));
  EXPECT_EQ(sim::command::read_contents(module.answer("contents\n")).known->tuned.delay_time_s,
            desk.kept()->tuned.delay_time_s);
}

TEST(Standalone, NeedsTheModuleBesideTheProgram) {
  EXPECT_THAT(
      refusal_of([] { sim::command::standalone_page(base_of("demo.toml"), "/bin/true", nullptr); }),
      HasSubstr("built without the row's module"));
}

// One file with nothing of another place: a script that begins in the data would run.
TEST(Standalone, HoldsAllThatItShows) {
  const support::ScratchFolder scratch;
  std::ofstream(scratch.path() / "row.wasm.gz", std::ios::binary) << "foobar";
  PageBase base = base_of("demo.toml");
  base.sets = {"row.physics=\"ideal\"", "title=\"</script><b>\""};
  const std::string page = sim::command::standalone_page(base, scratch.path() / "sillion", nullptr);
  EXPECT_THAT(page, HasSubstr(">Zm9vYmFy</script>"));
  EXPECT_THAT(page, HasSubstr("\\u003c/script>\\u003cb>"));
  for (const char* elsewhere : {"src=", "<link", "https:", "import ", "export ", "/*given*/"})
    EXPECT_THAT(page, Not(HasSubstr(elsewhere)));
}

}  // namespace
