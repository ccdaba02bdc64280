// Storage, supply dips and the links' acknowledgement in whole passes: what faults do, that one
// which never acts is named, and what images are refused.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <string>
#include <vector>

#include "sim/bench/controller_port.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_config.h"
#include "sim/bench/storage_setup.h"
#include "sim/measure/summary.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/study/run/run.h"
#include "sim/study/tune/tune_once.h"
#include "tests/sim/demo_scenario.h"
#include "tests/support/scratch_folder.h"

namespace {

using sim::bench::PassRecord;
using sim::scenario::Scenario;
using testing::HasSubstr;

Scenario storage_scenario(const std::vector<std::string>& more) {
  std::vector<std::string> sets = {"row.physics=ideal", "duration=\"4 s\"",
                                   "require=[{never = \"open\", while = \"controller off\","
                                   " grace = \"5 ms\"}]"};
  sets.insert(sets.end(), more.begin(), more.end());
  return sim_test::quiet_demo(sets);
}

PassRecord storage_pass(const std::vector<std::string>& more) {
  const Scenario scenario = storage_scenario(more);
  return sim::bench::run_pass(scenario, sim::tune::tune_once(scenario).table, {});
}

std::string fault(const std::string& words) { return "fault=[{" + words + "}]"; }

const std::vector<sim::measure::OnInterval>& offs(const PassRecord& record, int row) {
  return record.rows[static_cast<std::size_t>(row)].signals.of(sim::scenario::OnOff::kOff);
}

std::size_t alarms(const PassRecord& record, int row) {
  return record.rows[static_cast<std::size_t>(row)].signals.of(sim::scenario::OnOff::kAlarm).size();
}

/// The storage of a row of this scenario after 2 s: both copies of its configuration lie there.
std::vector<std::uint8_t> written_image(const Scenario& scenario, int row) {
  const auto host = sim::bench::make_host_here(sim::bench::reference_controller(), 1);
  const sillion_config config =
      sim::bench::row_config(scenario, row, sim::tune::tune_once(scenario).table, 0);
  sim::bench::ControllerPort port(*host, 0, config, {0.0, 2.0}, {});
  std::vector<sim::bench::BridgeChange> changes;
  port.run_until(shared::Instant{} + shared::milliseconds(2000), {}, changes);
  return port.storage().bytes();
}

std::string image_set(const ScratchFolder& folder, const std::vector<std::uint8_t>& bytes) {
  const std::string file = (folder.path() / "row.bin").string();
  std::ofstream(file, std::ios::binary)
      .write(reinterpret_cast<const char*>(bytes.data()),
             static_cast<std::streamsize>(bytes.size()));
  return "controller.storage=" + file;
}

// Writes of the reference: erase and program of page 0, 1, 2 and so on. The fifth, the erase of
// page 2, begins at about 71 ms; the power is away for 50 ms and nothing counts as a reset.
TEST(StoragePass, APowerLossInAWriteTakesTheRowOffAndItStartsAgain) {
  const PassRecord record = storage_pass(
      {fault("kind = \"storage_cut\", row = 0, write = 5, bytes = 20, by = \"50 ms\"")});
  EXPECT_TRUE(record.idle_faults.empty());
  ASSERT_EQ(offs(record, 0).size(), 1u);
  EXPECT_GT(offs(record, 0)[0].from_s, 0.05);
  EXPECT_LT(offs(record, 0)[0].from_s, 0.1);
  EXPECT_NEAR(offs(record, 0)[0].to_s - offs(record, 0)[0].from_s, 0.05, 1e-6);
  EXPECT_TRUE(offs(record, 1).empty());
  EXPECT_EQ(record.rows[0].health.resets, 0u);
  EXPECT_GT(alarms(record, 0), alarms(record, 1));  // the copy that was cut is reported as bad
  EXPECT_GT(record.rows[0].bands.size(), 60u);
}

TEST(StoragePass, AFaultOfTheStorageThatNeverActsIsNamed) {
  EXPECT_EQ(storage_pass({fault("kind = \"storage_cut\", row = 0, write = 500, bytes = 20,"
                                " by = \"50 ms\"")})
                .idle_faults,
            std::vector<int>{0});
  // The reference has 24 pages.
  EXPECT_EQ(storage_pass({fault("kind = \"storage_damaged\", page = 24, bits = 3")}).idle_faults,
            std::vector<int>{0});
}

TEST(StoragePass, WornPagesAreFoundByReadingBack) {
  const PassRecord record = storage_pass({fault("kind = \"storage_worn\", row = 1")});
  EXPECT_TRUE(record.idle_faults.empty());
  EXPECT_GT(alarms(record, 1), alarms(record, 0));
  EXPECT_GT(record.rows[1].bands.size(), 60u);
}

// One bad copy is mended and moves no band; two close the row for good. Row 1 finds the
// configuration of row 0 in the image: it differs, so its own replaces it.
TEST(StoragePass, AnImageWithOneBadCopyWorksAndWithTwoItDoesNot) {
  const ScratchFolder folder;
  const std::string image = image_set(folder, written_image(storage_scenario({}), 0));
  const std::string one = "{kind = \"storage_damaged\", row = 0, page = 3, bits = 5}";
  const std::string other = "{kind = \"storage_damaged\", row = 0, page = 15, bits = 500}";
  const PassRecord plain = storage_pass({image});
  const PassRecord bad = storage_pass({image, "fault=[" + one + "]"});
  const PassRecord lost = storage_pass({image, "fault=[" + one + ", " + other + "]"});
  EXPECT_TRUE(bad.idle_faults.empty());
  EXPECT_TRUE(lost.idle_faults.empty());
  ASSERT_GT(plain.rows[0].bands.size(), 60u);
  ASSERT_EQ(bad.rows[0].bands.size(), plain.rows[0].bands.size());
  EXPECT_EQ(bad.rows[0].bands[40].open_s, plain.rows[0].bands[40].open_s);
  EXPECT_GT(alarms(bad, 0), alarms(plain, 0));
  EXPECT_TRUE(lost.rows[0].bands.empty());
  EXPECT_EQ(lost.rows[1].bands.size(), plain.rows[1].bands.size());
}

TEST(StoragePass, AnImageOfAnotherSizeAndOneThatIsNotThere) {
  const ScratchFolder folder;
  const std::string image = image_set(folder, std::vector<std::uint8_t>(1000, 0xff));
  try {
    storage_pass({image});
    FAIL() << "it was taken";
  } catch (const sim::text::InputError& error) {
    EXPECT_THAT(error.what(), HasSubstr("1000 bytes; the controller's storage has 1536"));
  }
  try {
    storage_scenario({"controller.storage=no/such/image.bin"});
    FAIL() << "it was taken";
  } catch (const sim::text::InputError& error) {
    EXPECT_THAT(error.what(), HasSubstr("cannot read `"));
  }
}

// The contents of the image, and nothing of its path, are inputs.
TEST(StoragePass, TheImageIsPartOfTheInputs) {
  const ScratchFolder folder;
  const auto inputs = [&](std::uint8_t byte) {
    return sim::scenario::canonical_text(
        storage_scenario({image_set(folder, std::vector<std::uint8_t>(1536, byte))}));
  };
  EXPECT_NE(inputs(1), inputs(2));
  EXPECT_EQ(inputs(1).find("row.bin"), std::string::npos);
  EXPECT_EQ(sim::scenario::canonical_text(storage_scenario({})).find("storage"), std::string::npos);
}

// 12.6 V less 60 % is 5.04 V, below 6 V for 300 ms: off 1 ms after its start, back 10 ms after its
// end. A dip to 6.3 V, or one of 1 ms, resets nothing.
TEST(StoragePass, ADipOfTheSupplyIsABrownOut) {
  const auto dip = [](const std::string& amount, const std::string& by) {
    return fault("kind = \"dipped_row\", row = 0, from = \"2 s\", by = \"" + by +
                 "\", amount = \"" + amount + "\", retained = \"kept\"");
  };
  const PassRecord record = storage_pass({dip("60 %", "300 ms")});
  EXPECT_TRUE(record.idle_faults.empty());
  EXPECT_EQ(record.rows[0].health.resets, 1u);
  EXPECT_EQ(record.rows[1].health.resets, 0u);
  ASSERT_EQ(offs(record, 0).size(), 1u);
  EXPECT_NEAR(offs(record, 0)[0].from_s, 2.001, 1e-6);
  EXPECT_NEAR(offs(record, 0)[0].to_s, 2.31, 1e-6);
  EXPECT_EQ(storage_pass({dip("50 %", "300 ms")}).idle_faults, std::vector<int>{0});
  EXPECT_EQ(storage_pass({dip("60 %", "1 ms")}).idle_faults, std::vector<int>{0});
  EXPECT_TRUE(
      storage_pass({dip("50 %", "300 ms"), "controller.brown_out=\"7 V\""}).idle_faults.empty());
}

TEST(StoragePass, ADipOfTheMachineLeavesTheRowsWithoutSpeed) {
  const PassRecord record = storage_pass(
      {fault("kind = \"dipped_machine\", from = \"2 s\", by = \"1 s\", amount = \"80 %\","
             " retained = \"lost\"")});
  EXPECT_TRUE(record.idle_faults.empty());
  EXPECT_EQ(record.rows[0].health.resets, 0u);
  EXPECT_GT(record.rows[0].health.stale_speed_ms, 500u);
}

TEST(StoragePass, ARestartMayStateABrownOut) {
  const Scenario scenario = storage_scenario(
      {fault("kind = \"restarted_row\", row = 0, from = \"2 s\", by = \"20 ms\", cause = "
             "\"brown-out\", retained = \"kept\"")});
  ASSERT_EQ(sim::scenario::restarts_of(scenario, 0).size(), 1u);
  EXPECT_EQ(SILLION_RESET_POWER + sim::scenario::restarts_of(scenario, 0)[0].cause,
            int{SILLION_RESET_BROWN_OUT});
}

// Half of the frames to and from row 0 are lost. Where the link acknowledges, the calls of row 0
// tell of its lost reports; what the machine sends still reaches row 1, so none of its fails.
TEST(StoragePass, TheCallsDifferByTheAcknowledgementAlone) {
  const auto calls = [](const char* acknowledged) {
    const Scenario scenario =
        storage_scenario({fault("kind = \"lost_frames\", row = 0, amount = \"50 %\""),
                          std::string("network.acknowledged=") + acknowledged});
    std::vector<sim::bench::CallLog> logs;
    sim::bench::run_pass(scenario, sim::tune::tune_once(scenario).table, {}, {.calls = &logs});
    return logs;
  };
  const auto bus = calls("true"), radio = calls("false");
  ASSERT_EQ(bus[0].digests.size(), radio[0].digests.size());
  EXPECT_NE(bus[0].digests, radio[0].digests);
  EXPECT_EQ(bus[1].digests, radio[1].digests);
  EXPECT_EQ(bus[2].digests, radio[2].digests);
}

}  // namespace
