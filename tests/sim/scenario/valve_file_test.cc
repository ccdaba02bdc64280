// A valve in a file of its own: setups, scenarios and --set can name it, and values stated beside
// it win.
#include "sim/scenario/valve_file.h"

#include <gtest/gtest.h>

#include <fstream>

#include "sim/scenario/loader.h"
#include "sim/study/rig/rig_setup.h"
#include "tests/support/scratch_folder.h"

namespace sim::scenario {
namespace {

const std::string kRate = "[rate]\nin_band = \"5 gal/ac\"\n";

class ValveFile : public ::testing::Test {
 protected:
  ValveFile() {
    write(
        "old.valve.toml",
        "[coil]\nresistance = \"4.4 ohm\"\n[plunger]\npreload = \"3.5 N\"\ntravel = \"0.7 mm\"\n");
    write("setup.toml",
          "attachment = \"short rake\"\n[liquid]\nname = \"water\"\n"
          "[valve]\nfile = \"old.valve.toml\"\n[valve.plunger]\ntravel = \"0.9 mm\"\n");
  }
  void write(const std::string& name, const std::string& text) {
    std::ofstream(folder_.path() / name) << text;
  }
  std::string refusal(const std::string& name) {
    try {
      rig::load_rig_setup(folder_.path() / name);
    } catch (const text::InputError& error) {
      return error.what();
    }
    return {};
  }
  ScratchFolder folder_;
};

TEST_F(ValveFile, ItWinsOverTheAttachmentAndLosesToWhatStandsBesideIt) {
  const model::Valve valve = rig::load_rig_setup(folder_.path() / "setup.toml").part.valve;
  EXPECT_DOUBLE_EQ(valve.coil.resistance_ohm, 4.4) << "the file's";
  EXPECT_DOUBLE_EQ(valve.plunger.preload_n, 3.5) << "the file's";
  EXPECT_DOUBLE_EQ(valve.plunger.travel_m, 0.9e-3) << "stated beside it";
  EXPECT_DOUBLE_EQ(valve.coil.inductance_h, 7e-3) << "the attachment's";
}

TEST_F(ValveFile, AScenarioAndTheCommandLineTakeItToo) {
  write("field.toml",
        kRate + "[attachment]\nname = \"short rake\"\nvalve = {file = \"old.valve.toml\"}\n");
  EXPECT_DOUBLE_EQ(load_scenario(folder_.path() / "field.toml").attachment.valve.plunger.travel_m,
                   0.7e-3);
  write("plain.toml", kRate + "[attachment]\nname = \"short rake\"\n");
  const std::string file = (folder_.path() / "old.valve.toml").string();
  EXPECT_DOUBLE_EQ(
      load_scenario(folder_.path() / "plain.toml", {"attachment.valve.file=\"" + file + "\""})
          .attachment.valve.coil.resistance_ohm,
      4.4);
}

TEST_F(ValveFile, WhatItCannotTakeIsNamedWithItsPlace) {
  write("none.toml", "attachment = \"short rake\"\n[valve]\nfile = \"nowhere.toml\"\n");
  EXPECT_NE(refusal("none.toml").find("none.toml:3: valve.file: no such file"), std::string::npos)
      << refusal("none.toml");
  write("odd.valve.toml", "[coyl]\nresistance = \"4 ohm\"\n");
  write("odd.toml", "attachment = \"short rake\"\n[valve]\nfile = \"odd.valve.toml\"\n");
  EXPECT_NE(refusal("odd.toml").find("coil"), std::string::npos) << refusal("odd.toml");
  write("far.valve.toml", "[plunger]\ntravel = \"7 m\"\n");
  write("far.toml", "attachment = \"short rake\"\n[valve]\nfile = \"far.valve.toml\"\n");
  EXPECT_NE(refusal("far.toml").find("far.valve.toml:2"), std::string::npos) << refusal("far.toml");
}

}  // namespace
}  // namespace sim::scenario
