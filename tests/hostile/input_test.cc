// Each mistake that a person can make in a scenario, a study or an override gives one InputError
// that says where, which key, what, and the nearest valid name. Nothing else is ever thrown.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdint>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "sim/scenario/loader.h"
#include "sim/study/sweep/study.h"
#include "tests/support/scratch_folder.h"

namespace {

using testing::EndsWith;
using testing::HasSubstr;
using testing::StartsWith;

const std::filesystem::path kDemo =
    std::filesystem::path(SILLION_SOURCE_DIR) / "scenarios" / "demo.toml";

const std::string kLeast = R"([attachment]
name = "short rake"
[rate]
in_band = "5 gal/ac"
)";

std::string message_of(const std::filesystem::path& file,
                       const std::vector<std::string>& sets = {}) {
  try {
    sim::scenario::load_scenario(file, sets);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "no error";
}

std::string set_message(const std::string& set) { return message_of(kDemo, {set}); }

// The message for a text, with the scratch folder's path taken off its front.
std::string text_message(const std::string& text) {
  const ScratchFolder folder;
  const auto file = folder.write("s.toml", text);
  std::string message = message_of(file);
  const std::string prefix = folder.path().string() + "/";
  if (message.starts_with(prefix)) message.erase(0, prefix.size());
  return message;
}

std::string study_message(const std::string& text, const std::vector<std::string>& sets = {}) {
  const ScratchFolder folder;
  folder.write("base.toml", kLeast);
  const auto file = folder.write("study.toml", text);
  try {
    sim::sweep::load_study(file, sets);
  } catch (const sim::text::InputError& error) {
    std::string message = error.what();
    const std::string prefix = folder.path().string() + "/";
    if (message.starts_with(prefix)) message.erase(0, prefix.size());
    return message;
  }
  return "no error";
}

}  // namespace

TEST(BadScenario, UnknownKeyNamesFileLineKeyAndNearestName) {
  EXPECT_EQ(text_message(kLeast + "\n[travel]\nsped = \"12 km/h\"\n"),
            "s.toml:7: travel.sped: unknown key; nearest valid name: `travel.speed`");
  EXPECT_EQ(text_message(kLeast + "[travle]\nspeed = \"12 km/h\"\n"),
            "s.toml:5: travle: unknown key; nearest valid name: `travel`");
  EXPECT_EQ(text_message(kLeast + "[attachment.tubes]\n"),
            "s.toml:5: attachment.tubes: unknown key; nearest valid name: `attachment.tube`");
}

TEST(BadScenario, AKeyOfAnotherSectionIsSentHome) {
  EXPECT_EQ(set_message("speed=12 km/h"),
            "--set speed: unknown key; nearest valid name: `travel.speed`");
  EXPECT_THAT(set_message("rate.width=1 m"), EndsWith("nearest valid name: `row.width`"));
}

TEST(BadScenario, MissingWrongAndUnknownUnits) {
  EXPECT_EQ(text_message(kLeast + "[travel]\nspeed = 12\n"),
            "s.toml:6: travel.speed: \"12\" has no unit: write for example \"16 km/h\" (units: "
            "m/s, mm/s, km/h, mph, kn)");
  EXPECT_EQ(text_message(kLeast + "[travel]\nspeed = \"12 in\"\n"),
            "s.toml:6: travel.speed: \"12 in\" is a length, a speed is wanted (units: m/s, mm/s, "
            "km/h, mph, kn)");
  EXPECT_EQ(set_message("travel.speed=12 kmh"),
            "--set travel.speed: unknown unit \"kmh\" in \"12 kmh\", a speed is wanted (units: "
            "m/s, mm/s, km/h, mph, kn); nearest valid name: `km/h`");
  for (const char* value : {"nan km/h", "inf km/h", "1e999 km/h", "", "fast", "nan", "-inf", "true",
                            "[1]", "{a=1}", "2020-01-01", "1,5 m/s", "0x1p3 m/s"}) {
    EXPECT_THAT(set_message(std::string("travel.speed=") + value),
                StartsWith("--set travel.speed: "))
        << value;
  }
}

TEST(BadScenario, OutOfRangeSpeaksTheWritersUnit) {
  EXPECT_EQ(set_message("travel.speed=100 km/h"),
            "--set travel.speed: \"100 km/h\" is out of range: must be 0 km/h to 72 km/h");
  EXPECT_THAT(set_message("attachment.jet.drop_height=0 mm"), HasSubstr("must be above 0 mm"));
  EXPECT_THAT(set_message("attachment.jet.drop_height=-1 in"), HasSubstr("must be above 0 in"));
  EXPECT_THAT(set_message("attachment.guide.length=20 mm"), HasSubstr("attachment.guided = true"));
  EXPECT_THAT(set_message("rate.band_length=0 mm"), HasSubstr("must be above 0 mm"));
  EXPECT_THAT(set_message("rate.in_band=0 gal/ac"), HasSubstr("must be above 0 gal/ac"));
  EXPECT_EQ(set_message("row.count=0"), "--set row.count: 0 is out of range: must be 1 to 64");
  EXPECT_THAT(set_message("row.count=2.5"), HasSubstr("must be a whole number"));
  EXPECT_THAT(set_message("seeding.scatter=12"), HasSubstr("is out of range"));
  EXPECT_THAT(set_message("rng_key=-1"), HasSubstr("is out of range"));
  EXPECT_THAT(set_message("rng_key=99999999999999999999"), StartsWith("--set rng_key: "));
}

TEST(BadScenario, WordsOutsideTheirList) {
  EXPECT_EQ(set_message("delivery.kind=conveyer"),
            "--set delivery.kind: \"conveyer\" is none of: conveyor, conveyor timed, gravity; "
            "nearest valid name: `conveyor`");
  EXPECT_THAT(set_message("rate.continuous=yes"), HasSubstr("must be true or false, not text"));
  EXPECT_THAT(set_message("travel=fast"), HasSubstr("must be a section, not text"));
  EXPECT_THAT(set_message("title=3"), HasSubstr("must be text in quotes"));
}

TEST(BadScenario, NamesThatNoCatalogHolds) {
  EXPECT_THAT(set_message("attachment.name=swan nek"), EndsWith("nearest valid name: `swan neck`"));
  EXPECT_THAT(set_message("liquid.name=watr"), EndsWith("nearest valid name: `water`"));
  EXPECT_THAT(set_message("liquid.temperature=-5 C"),
              HasSubstr("the viscosity of `invented starter` is known from 0 C to 40 C only"));
  EXPECT_THAT(set_message("require[0].metric=gap_ration"),
              EndsWith("nearest valid name: `gap_ratio`"));
  EXPECT_THAT(set_message("fault=[{kind=\"late_edge\", by=\"1 ms\"}]"),
              EndsWith("nearest valid name: `late_edges`"));
}

TEST(BadScenario, FaultsAndRequirementsThatSayTooLittleOrTooMuch) {
  EXPECT_THAT(set_message("fault=[{kind=\"late_edges\"}]"), HasSubstr("fault[0].by: is missing"));
  EXPECT_THAT(
      set_message("fault=[{kind=\"late_edges\", by=\"1 ms\", amount=1}]"),
      HasSubstr("fault[0].amount: unknown key (known here: kind, severity, row, from, until, by)"));
  EXPECT_THAT(set_message("fault=[{kind=\"lost_speed\", from=\"2 s\", until=\"1 s\"}]"),
              HasSubstr("is not after `from`"));
  EXPECT_THAT(set_message("fault=[{kind=\"lost_speed\", row=8}]"), HasSubstr("must be -1 to 7"));
  EXPECT_THAT(set_message("fault={kind=\"lost_speed\"}"), HasSubstr("must be a list of tables"));
  EXPECT_THAT(set_message("require=[{metric=\"gap_ratio\"}]"),
              HasSubstr("state one of at_most and at_least"));
  EXPECT_THAT(set_message("require=[{metric=\"gap_ratio\", at_most=\"5 mm\"}]"),
              HasSubstr("require[0].at_most: \"5 mm\" is a length"));
  EXPECT_THAT(set_message("require=[{metric=\"gap_ratio\", at_mots=0.1}]"),
              EndsWith("nearest valid name: `require[0].at_most`"));
  EXPECT_THAT(set_message("fault.5.kind=lost_speed"), HasSubstr("is no index of this list"));
}

TEST(BadScenario, ContradictoryGeometry) {
  EXPECT_EQ(set_message("attachment.outlet.bore=8 mm"),
            "--set attachment.outlet.bore: \"8 mm\" must be below the tube's bore of \"8 mm\"");
  EXPECT_THAT(set_message("attachment.tube.length=20 mm"),
              HasSubstr("is too short for solver.step"));
  EXPECT_THAT(set_message("attachment.hose.length=10 mm"),
              HasSubstr("is too short for solver.step"));
  EXPECT_THAT(set_message("attachment.valve.plunger.travel=3 mm"),
              HasSubstr("must be above the plunger's travel"));
  EXPECT_THAT(
      message_of(kDemo, {"attachment.valve.plunger.travel=3 mm", "attachment.valve.coil.gap=4 mm"}),
      HasSubstr("opens more area than the bore of the seat"));
  EXPECT_THAT(set_message("supply.pressure_min=6 bar"),
              HasSubstr("is larger than supply.pressure"));
  EXPECT_THAT(set_message("seeding.double_gap_min=50 %"),
              HasSubstr("is larger than seeding.double_gap_max"));
  EXPECT_THAT(set_message("controller.delay=given"), HasSubstr("needs controller.delay_time"));
  EXPECT_THAT(text_message("[rate]\nin_band = \"5 gal/ac\"\n"),
              StartsWith("s.toml: attachment.name: must be stated"));
  EXPECT_THAT(text_message("[attachment]\nname = \"short rake\"\n"),
              StartsWith("s.toml: rate.in_band: must be stated"));
}

// A catalog's own mistake is shown at the catalog's line.
TEST(BadScenario, AMistakeInACatalogIsShownThere) {
  const ScratchFolder folder;
  folder.write("catalog/attachments.toml",
               "[[attachment]]\nname = \"a\"\ntube = {length = \"1 m\", bore = \"1 kg\"}\n");
  const auto file =
      folder.write("s.toml", "[attachment]\nname = \"a\"\n[rate]\nin_band = \"5 gal/ac\"\n");
  EXPECT_THAT(message_of(file), HasSubstr("catalog/attachments.toml:3: attachment.tube.bore: "));
  folder.write("catalog/attachments.toml",
               "[[attachment]]\nname = \"a\"\n[[attachment]]\nname = \"a\"\n");
  EXPECT_THAT(message_of(file),
              HasSubstr("attachments.toml:4: attachment: the name `a` appears twice"));
}

TEST(BadScenario, EitherOrKeysTogether) {
  EXPECT_THAT(
      text_message(kLeast + "[seeding]\nspacing = \"0.15 m\"\npopulation = \"80 thousand/ha\"\n"),
      StartsWith("s.toml:7: seeding.population: contradicts `seeding.spacing`"));
  EXPECT_THAT(text_message(kLeast + "[travel]\nlog = \"x.nmea\"\nspeed = \"3 m/s\"\n"),
              StartsWith("s.toml:7: travel.speed: contradicts `travel.log`"));
}

TEST(BadScenario, APassThatWouldNeverEnd) {
  EXPECT_THAT(set_message("travel.speed=0 m/s"), HasSubstr("stands still at the end"));
  EXPECT_THAT(set_message("travel.turn_radius=2 m"), HasSubstr("lies inside the toolbar"));
  EXPECT_EQ(message_of(kDemo, {"travel.turn_radius=2 m", "duration=10 s"}), "no error");
  EXPECT_THAT(set_message("travel.profile=[{time=\"0 s\", speed=\"0 m/s\"}]"),
              HasSubstr("the machine never moves"));
}

TEST(BadScenario, ProfilesThatCannotBeDriven) {
  EXPECT_THAT(set_message("travel.profile=[]"), HasSubstr("at least one"));
  EXPECT_THAT(set_message("travel.profile=[{time=\"1 s\"}]"),
              HasSubstr("travel.profile[0].speed: is missing"));
  EXPECT_THAT(
      set_message(
          "travel.profile=[{time=\"1 s\", speed=\"1 m/s\"}, {time=\"0 s\", speed=\"1 m/s\"}]"),
      HasSubstr("travel.profile[1].time: is earlier than the knot before it"));
  EXPECT_THAT(
      message_of(kDemo, {"travel.turn_radius=60 m",
                         "travel.profile=[{time=\"0 s\", speed=\"1 m/s\", yaw_rate=\"1 deg/s\"}]"}),
      HasSubstr("contradicts travel.turn_radius"));
}

TEST(BadScenario, DuplicateKeysAreTomlErrorsWithTheirLine) {
  EXPECT_THAT(text_message("[row]\ncount = 2\ncount = 3\n"),
              StartsWith("s.toml:3: not valid TOML: "));
  EXPECT_THAT(text_message("[row]\ncount = 2\n[row]\n"), StartsWith("s.toml:3: not valid TOML: "));
  EXPECT_THAT(text_message("seeds = 3\n[=]\n"), StartsWith("s.toml:2: not valid TOML: "));
  EXPECT_THAT(text_message("[row\n"), StartsWith("s.toml:1: not valid TOML: "));
}

TEST(BadScenario, BasesThatLeadNowhereOrInACircle) {
  const ScratchFolder folder;
  const auto a = folder.write("a.toml", "base = \"b\"\n");
  folder.write("b.toml", "base = \"a\"\n");
  EXPECT_THAT(message_of(a), HasSubstr("b.toml:1: base: the bases form a circle"));
  folder.write("b.toml", "base = \"nowhere\"\n");
  EXPECT_THAT(message_of(a), HasSubstr("b.toml:1: base: no such file: "));
  EXPECT_THAT(set_message("base=other"), HasSubstr("cannot be changed by an override"));
}

TEST(BadFile, MissingFolderBinaryHugeAndDeep) {
  const ScratchFolder folder;
  EXPECT_THAT(message_of(folder.path() / "none.toml"),
              EndsWith("none.toml: cannot read: no such file, or no permission"));
  EXPECT_THAT(message_of(folder.path()), EndsWith("cannot read: is a folder"));
  EXPECT_THAT(text_message(std::string("title = \"x\"\n\0\x01", 14)),
              StartsWith("s.toml:2: binary file: holds the control character 0"));
  EXPECT_THAT(text_message("title = \"\xff\xfe\"\n"), StartsWith("s.toml:1: not valid TOML: "));
  EXPECT_THAT(text_message(std::string(2'000'000, 'x')), HasSubstr("larger than"));
  std::string dots = "a";
  for (int i = 0; i < 400'000; ++i) dots += ".a";
  EXPECT_THAT(text_message(dots + " = 1\n"), HasSubstr("nested too deep"));
  EXPECT_THAT(text_message("a = " + std::string(300'000, '[')),
              StartsWith("s.toml:1: not valid TOML: "));
  EXPECT_THAT(text_message("a = " + std::string(60, '[') + std::string(60, ']')),
              HasSubstr("nested too deep"));
  EXPECT_THAT(text_message(""), HasSubstr("must be stated"));
}

TEST(BadFile, SpacingsAndLogs) {
  const ScratchFolder folder;
  const auto file =
      folder.write("s.toml", kLeast + "[seeding]\nspacing = \"0.15 m\"\nspacings = \"m.csv\"\n");
  EXPECT_THAT(message_of(file), HasSubstr("m.csv: cannot read"));
  folder.write("m.csv", "160\n150\n");
  EXPECT_THAT(message_of(file),
              HasSubstr("m.csv:1: spacings: the header must end in a unit of length"));
  folder.write("m.csv", "spacing_mm\n160\n1 60\n");
  EXPECT_THAT(message_of(file), HasSubstr("m.csv:3: spacings: "));
  folder.write("m.csv", "spacing_mm\n160\n-5\n");
  EXPECT_THAT(message_of(file), HasSubstr("m.csv:3: spacings: \"-5 mm\" is out of range"));
  folder.write("m.csv", "spacing_mm\n");
  EXPECT_THAT(message_of(file), HasSubstr("m.csv: spacings: contains no spacings"));
  const auto drive = folder.write("d.toml", kLeast + "[travel]\nlog = \"d.nmea\"\n");
  folder.write("d.nmea", "no sentence here\n");
  EXPECT_THAT(message_of(drive), HasSubstr("d.toml:6: travel.log: `d.nmea` contains no drive"));
}

TEST(BadSet, IsNotAKeyWithAValue) {
  EXPECT_THAT(set_message("travel.speed"), HasSubstr("write KEY=VALUE"));
  EXPECT_THAT(set_message("=3"), HasSubstr("write KEY=VALUE"));
  EXPECT_THAT(set_message("travel..speed=3 m/s"), HasSubstr("not a key"));
  EXPECT_THAT(set_message(".=3"), HasSubstr("not a key"));
  EXPECT_THAT(set_message("row.count.x=3"), StartsWith("--set row.count.x: "));
  EXPECT_THAT(set_message("title=\"open"), HasSubstr("not a valid value"));
  EXPECT_THAT(set_message("row=[1, 2"), HasSubstr("not a valid value"));
  EXPECT_THAT(set_message("title=\"a\"\nseeds = 3"), HasSubstr("must be on one line"));
}

TEST(BadStudy, NothingToRunOrNowhereToStart) {
  EXPECT_EQ(study_message("base = \"base\"\n"), "study.toml: axes: has no axis: nothing would run");
  EXPECT_EQ(study_message("base = \"base\"\n[axes]\n"),
            "study.toml:2: axes: has no axis: nothing would run");
  EXPECT_EQ(study_message("base = \"base\"\n[axes]\n\"travel.speed\" = []\n"),
            "study.toml:3: axes.travel.speed: is an empty axis: nothing would run");
  EXPECT_THAT(study_message("[axes]\n\"travel.speed\" = [\"3 m/s\"]\n"),
              HasSubstr("study.toml: base: is missing"));
  EXPECT_THAT(study_message("base = \"nothing\"\n"), HasSubstr("study.toml:1: base: no such file"));
  EXPECT_THAT(study_message("base = \"base\"\nreplicas = 0\n"),
              HasSubstr("study.toml:2: replicas: 0 is out of range"));
  EXPECT_THAT(study_message("base = \"base\"\nreplica = 3\n"),
              EndsWith("nearest valid name: `replicas`"));
}

TEST(BadStudy, AxisValuesAreTriedAtTheirOwnLine) {
  EXPECT_EQ(
      study_message(
          "base = \"base\"\n[axes]\n\"travel.speed\" = [\n  \"3 m/s\",\n  \"4 mps\",\n]\n"),
      "study.toml:5: travel.speed: unknown unit \"mps\" in \"4 mps\", a speed is wanted (units: "
      "m/s, mm/s, km/h, mph, kn); nearest valid name: `m/s`");
  EXPECT_THAT(study_message("base = \"base\"\n[axes]\n\"travel.sped\" = [\"3 m/s\"]\n"),
              EndsWith("nearest valid name: `travel.speed`"));
  EXPECT_THAT(study_message("base = \"base\"\n[axes]\n\"row.count\" = [1, 1]\n"),
              HasSubstr("appears twice"));
  EXPECT_THAT(study_message("base = \"base\"\n[set]\nrow.cuont = 1\n[axes]\n\"row.count\" = [1]\n"),
              StartsWith("study.toml:3: row.cuont: unknown key"));
}

TEST(BadStudy, RangesAndDistributions) {
  const std::string head = "base = \"base\"\n[axes]\n\"travel.speed\" = ";
  EXPECT_THAT(study_message(head + "{from = \"3 m/s\", to = \"4 m/s\"}\n"),
              HasSubstr("study.toml:3: axes.travel.speed.steps: is missing"));
  EXPECT_THAT(study_message(head + "{from = \"3 m/s\", to = \"4 m/s\", steps = 0}\n"),
              HasSubstr("is out of range"));
  EXPECT_THAT(study_message(head + "{from = \"3 m/s\", to = \"4 m/s\", steps = 1}\n"),
              HasSubstr("one step needs from = to"));
  EXPECT_THAT(study_message(head + "{from = \"3 m/s\", to = \"4 m\", steps = 2}\n"),
              HasSubstr("is a length"));
  EXPECT_THAT(study_message(head + "{uniform = [\"3 m/s\", \"4 m/s\"], count = 5}\n"),
              HasSubstr("axes.travel.speed.count: unknown key"));
  EXPECT_THAT(
      study_message(
          "base = \"base\"\nshown = [\"5 m/s\"]\n[axes]\n\"travel.speed\" = [\"3 m/s\"]\n"),
      HasSubstr("study.toml:2: shown: \"5 m/s\" is not a value of the axis travel.speed: 3 m/s"));
}
