// Mistakes in keys that drive inputs, travel, frames and restarts are reported with place, key and
// the nearest name.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <string>
#include <vector>

#include "sim/scenario/loader.h"

namespace {

using testing::HasSubstr;

std::string message(const std::vector<std::string>& sets) {
  try {
    sim::scenario::load_scenario(std::string(SILLION_SOURCE_DIR) + "/scenarios/demo.toml", sets);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "no error";
}

TEST(BadDrives, RowsOffSayWhichItemAndKey) {
  EXPECT_EQ(message({"work.row_off=[{rows = [0, 9], from = \"3 s\"}]"}),
            "--set work.row_off: work.row_off[0].rows[1]: 9 is out of range: must be 0 to 7");
  EXPECT_THAT(message({"work.row_off=[{from = \"3 s\"}]"}), HasSubstr("rows: is missing"));
  EXPECT_THAT(message({"work.row_off=[{rows = []}]"}), HasSubstr("at least one"));
  EXPECT_THAT(message({"work.row_off=[{rows = [0], form = \"3 s\"}]"}),
              HasSubstr("nearest valid name: `work.row_off[0].from`"));
  EXPECT_THAT(message({"work.row_off=[{rows = [0], from = \"3 s\", until = \"2 s\"}]"}),
              HasSubstr("never off"));
  EXPECT_THAT(message({"work.row_off=3"}), HasSubstr("must be a list"));
  EXPECT_THAT(message({"work.run_time=[\"1 s\"]"}), HasSubstr("work.run_times"));
  EXPECT_THAT(message({"work.run_times=[\"1 mm\"]"}), HasSubstr("a time is wanted"));
}

TEST(BadDrives, RestartsWantTheirWordsAndNoEnd) {
  const std::string start = "fault=[{kind = \"restarted_row\", from = \"3 s\", by = \"20 ms\"";
  EXPECT_THAT(message({start + "}]"}), HasSubstr("fault[0].cause: is missing"));
  EXPECT_THAT(message({start + ", cause = \"wachdog\", retained = \"kept\"}]"}),
              HasSubstr("none of: power, watchdog, request, brown-out; nearest valid name: "
                        "`watchdog`"));
  EXPECT_THAT(message({start + ", cause = \"power\", retained = \"bad\"}]"}),
              HasSubstr("none of: kept, lost, damaged"));
  EXPECT_THAT(message({start + ", cause = \"power\", retained = \"kept\", until = \"4 s\"}]"}),
              HasSubstr("fault[0].until: unknown key"));
  EXPECT_THAT(message({"fault=[{kind = \"restarted_machine\", row = 1, by = \"1 s\","
                       " cause = \"power\", retained = \"kept\"}]"}),
              HasSubstr("fault[0].row: unknown key"));
}

TEST(BadDrives, FaultsOfTheStorageWantWholeNumbersAndNoTime) {
  const std::string start = "fault=[{kind = \"storage_cut\", by = \"10 ms\"";
  EXPECT_THAT(message({start + ", bytes = 3}]"}), HasSubstr("fault[0].write: is missing"));
  EXPECT_THAT(message({start + ", write = 0, bytes = 3}]"}), HasSubstr("must be 1 to 1000000"));
  EXPECT_THAT(message({start + ", write = 1, bytes = 65}]"}), HasSubstr("must be 0 to 64"));
  EXPECT_THAT(message({start + ", write = 1, bytes = 3, from = \"1 s\"}]"}),
              HasSubstr("fault[0].from: unknown key"));
  EXPECT_THAT(message({"fault=[{kind = \"storage_damged\", page = 1, bits = 3}]"}),
              HasSubstr("nearest valid name: `storage_damaged`"));
  EXPECT_THAT(message({"controller.storage_erase=\"0 ms\""}), HasSubstr("out of range"));
  EXPECT_THAT(message({"controller.storag_erase=\"5 ms\""}), HasSubstr("controller.storage_erase"));
  EXPECT_THAT(message({"network.acknowledge=false"}), HasSubstr("network.acknowledged"));
}

TEST(BadDrives, FaultsOfTheBusAndOfFramesAreNamedRight) {
  EXPECT_THAT(message({"fault=[{kind = \"lost_frame\", amount = \"5 %\"}]"}),
              HasSubstr("nearest valid name: `lost_frames`"));
  EXPECT_THAT(message({"fault=[{kind = \"lost_frames\"}]"}), HasSubstr("amount: is missing"));
  EXPECT_THAT(message({"fault=[{kind = \"late_frames\", amount = \"120 %\", by = \"1 ms\"}]"}),
              HasSubstr("out of range"));
  EXPECT_THAT(message({"fault=[{kind = \"speed_error\", row = 0}]"}),
              HasSubstr("fault[0].row: unknown key"));
  EXPECT_THAT(message({"fault=[{kind = \"doubled_edges\", amount = \"5 %\"}]"}),
              HasSubstr("by: is missing"));
}

TEST(BadDrives, ASpeedBelowZeroIsAProfilesAlone) {
  EXPECT_THAT(message({"travel.speed=\"-3 km/h\""}), HasSubstr("out of range"));
  EXPECT_EQ(
      message({"travel.profile=[{time = \"0 s\", speed = \"2 m/s\"}, {time = \"4 s\", speed = "
               "\"-1 m/s\"}]",
               "duration=\"9 s\""}),
      "no error");
  EXPECT_THAT(
      message({"travel.profile=[{time = \"0 s\", speed = \"-1 m/s\"}]", "duration=\"9 s\""}),
      HasSubstr("never moves"));
  EXPECT_THAT(
      message({"travel.profile=[{time = \"0 s\", speed = \"2 m/s\"}, {time = \"4 s\", speed = "
               "\"-1 m/s\"}]"}),
      HasSubstr("state `duration`"));
}

TEST(BadDrives, AWaitForWhatNeverComesIsRefused) {
  const auto waits = [](const std::string& signal) {
    return message({"require=[{never = \"open\", while = \"" + signal + "\"}]",
                    "controller.watchdog=\"0 ms\""});
  };
  EXPECT_THAT(waits("in hold"), HasSubstr("state work.run_times"));
  EXPECT_THAT(waits("row off"), HasSubstr("state work.row_off"));
  EXPECT_THAT(waits("controller off"), HasSubstr("restarted_row"));
}

}  // namespace
