// A measured table of linkage: what it may look like, and each mistake with line and remedy.
#include "sim/scenario/linkage_table_file.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>

#include "sim/text/input_error.h"
#include "tests/support/run_program.h"
#include "tests/support/scratch_folder.h"

namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

constexpr const char* kSound =
    "lift [mm], current [A], linkage [mWb]\n"
    "0, 1, 2\n0, 2, 3\n0, 3, 3.5\n1, 1, 4\n1, 2, 5\n1, 3, 5.5\n";

class LinkageTableFile : public testing::Test {
 protected:
  model::LinkageTable read(const std::string& text) const {
    return sim::scenario::read_linkage_table(scratch_.write("linkage.csv", text),
                                             "valve.coil.table");
  }
  std::string refusal(const std::string& text) const {
    try {
      read(text);
    } catch (const sim::text::InputError& error) {
      return error.what();
    }
    return "";
  }
  ::ScratchFolder scratch_;
};

TEST_F(LinkageTableFile, APointWithoutCurrentIsAdded) {
  const model::LinkageTable table = read(kSound);
  EXPECT_THAT(table.lift_m, ElementsAre(0.0, 1e-3));
  EXPECT_THAT(table.current_a, ElementsAre(0.0, 1.0, 2.0, 3.0));
  EXPECT_THAT(table.linkage_vs, ElementsAre(0.0, 2e-3, 3e-3, 3.5e-3, 0.0, 4e-3, 5e-3, 5.5e-3));
}

TEST_F(LinkageTableFile, InductancesInAnyOrderAndNamesWithSiUnits) {
  const model::LinkageTable table = read(
      "current_a,inductance_h,lift_m\n3,0.002,0.001\n2,0.0025,0.001\n1,0.003,0.001\n"
      "1,0.002,0\n2,0.0015,0\n3,0.0012,0\n");
  EXPECT_NEAR(table.linkage_vs[3], 3.6e-3, 1e-15);
  EXPECT_NEAR(table.linkage_vs[6], 5e-3, 1e-15);
}

TEST_F(LinkageTableFile, EachMistakeIsNamedWithLineAndRemedy) {
  const std::string head = "lift [mm], current [A], linkage [mWb]\n";
  struct Mistake {
    std::string text, line, said;
  };
  for (const Mistake& one : {
           Mistake{head + "0,1,2\n0,2,1.9\n0,3,3\n1,1,4\n1,2,5\n1,3,6\n",
                   ":3:", "must rise with the current"},
           Mistake{head + "0,1,2\n0,2,3\n0,3,4\n1,1,4\n1,3,6\n", ":5:", "no line with \"2 A\""},
           Mistake{head + "0,1,2\n0,2,3\n0,3,4\n", "", "2 or more"},
           Mistake{head + "0,1,2\n0,2,3\n1,1,4\n1,2,5\n", "", "3 or more"},
           Mistake{head + "0,1,2\n0,2,3\n0,3,4\n1,1,1.5\n1,2,5\n1,3,6\n",
                   ":5:", "must not fall as the gap closes"},
           Mistake{head + "0,0,1\n0,2,3\n0,3,4\n1,0,0\n1,2,5\n1,3,6\n", ":2:", "remanence"},
           Mistake{head + "0,1,2\n0,1,2\n0,2,3\n0,3,4\n1,1,4\n1,2,5\n1,3,6\n", ":3:", "again"},
           Mistake{head + "0,1,-2\n0,2,3\n0,3,4\n1,1,4\n1,2,5\n1,3,6\n", ":2:", "out of range"},
           Mistake{"lift [mm], current [A]\n0,1\n0,2\n0,3\n1,1\n1,2\n1,3\n",
                   ":2:", "no column of linkage"},
           Mistake{"lift [mm], current [A], linkge [mWb]\n0,1,2\n", ":1:", "linkage"},
       }) {
    EXPECT_THAT(refusal(one.text), HasSubstr("linkage.csv" + one.line));
    EXPECT_THAT(refusal(one.text), HasSubstr(one.said));
  }
}

// Three lifts: the linkage at 1 A jumps and then stands, so a smooth curve would overshoot it.
TEST_F(LinkageTableFile, APullBelowZeroBetweenLiftsIsRefused) {
  const std::string text =
      "lift_mm,current_a,linkage_mWb\n"
      "0,1,1\n0,2,2\n0,3,3\n0.1,1,9\n0.1,2,10\n0.1,3,11\n1,1,9\n1,2,10\n1,3,11\n";
  EXPECT_THAT(refusal(text), HasSubstr("push the plunger back; measure lifts in between"));
}

std::string rig_with(const std::string& coil) {
  return "attachment = \"short rake\"\n[liquid]\nname = \"invented starter\"\n"
         "[supply]\npressure = \"3 bar\"\n[valve.coil]\nsupply = \"12.6 V\"\n"
         "force_law = \"table\"\n" +
         coil +
         "[drive]\nfirst_on = \"2 ms\"\non_time = \"6 ms\"\nperiod = \"20 ms\"\npulses = 1\n";
}

TEST_F(LinkageTableFile, TheCommandRefusesWhatTheDriveOutgrows) {
  scratch_.write("linkage.csv", kSound);  // to 1 mm and 3 A; 12.6 V drive more
  const auto end = [&](const std::string& coil) {
    return support::sillion({"rig", scratch_.write("one.toml", rig_with(coil)).string(), "--out",
                             (scratch_.path() / "out").string()});
  };
  const auto more = end("table = \"linkage.csv\"\nresistance = \"2 ohm\"\n");
  EXPECT_EQ(more.code, 2);
  EXPECT_THAT(more.err, HasSubstr("valve.coil.table"));
  EXPECT_THAT(more.err, HasSubstr("has currents up to \"3 A\""));
  const auto none = end("resistance = \"2 ohm\"\n");
  EXPECT_EQ(none.code, 2);
  EXPECT_THAT(none.err, HasSubstr("needs coil.table"));
  const auto absent = end("table = \"linkge.csv\"\n");
  EXPECT_EQ(absent.code, 2);
  EXPECT_THAT(absent.err, HasSubstr("no such file"));
}

}  // namespace
