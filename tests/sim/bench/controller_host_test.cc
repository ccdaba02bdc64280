// A controller gets the same memory, the same calls and the same floating-point state in this
// process and apart, and what survives a reset is what the caller said.
#include "sim/bench/controller_host.h"

#include <gtest/gtest.h>

#include <cstring>

#include "sim/bench/controller_port.h"
#include "sim/bench/guarded_memory.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_config.h"
#include "sim/scenario/loader.h"
#include "sim/study/tune/tune.h"
#include "tests/support/run_program.h"

namespace {

sim::scenario::Scenario still(int rows) {
  return sim::scenario::load_scenario(
      std::string(SILLION_SOURCE_DIR) + "/scenarios/pull_request_still.toml",
      {"duration=4 s", "row.count=" + std::to_string(rows), "noise.speed_noise=0.02 m/s"});
}

/// The settings go back to the usual ones when the test ends.
class Hosts : public testing::Test {
 protected:
  void TearDown() override { sim::bench::set_host_settings({}); }
};

std::vector<sim::bench::CallLog> calls_of(const sim::scenario::Scenario& scenario, bool apart) {
  sim::bench::set_host_settings({.reference_apart = apart});
  std::vector<sim::bench::CallLog> calls;
  sim::bench::run_pass(scenario, sim::tune::tune(scenario).table, {}, {.calls = &calls});
  return calls;
}

TEST_F(Hosts, EveryCallHasTheSameBytesHereAndApart) {
  const sim::scenario::Scenario scenario = still(3);
  const std::vector<sim::bench::CallLog> here = calls_of(scenario, false);
  const std::vector<sim::bench::CallLog> apart = calls_of(scenario, true);
  ASSERT_EQ(here.size(), 4u);
  for (std::size_t lane = 0; lane < here.size(); ++lane) {
    EXPECT_GT(here[lane].digests.size(), 4000u);  // a tick each millisecond, edges besides
    EXPECT_EQ(here[lane].digests, apart[lane].digests) << lane;
  }
}

// With a manifold the supply moves at exchange steps inside a slot.
TEST_F(Hosts, AlsoWhereRowsShareAPump) {
  sim::scenario::Scenario scenario = sim::scenario::load_scenario(
      std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_manifold.toml",
      {"duration=1 s", "row.count=2", "controller.row_trim=false"});
  const std::vector<sim::bench::CallLog> here = calls_of(scenario, false);
  const std::vector<sim::bench::CallLog> apart = calls_of(scenario, true);
  for (std::size_t lane = 0; lane < here.size(); ++lane)
    EXPECT_EQ(here[lane].digests, apart[lane].digests) << lane;
}

// A restart with memory kept counts a reset on top of what was counted; one whose memory is lost or
// damaged begins anew: the reference keeps its counters under a check sum (controller/retained.h).
TEST_F(Hosts, RetainedMemoryIsWhatTheCallerSays) {
  const sim::scenario::Scenario scenario = still(1);
  const sillion_config config =
      sim::bench::row_config(scenario, 0, sim::tune::tune(scenario).table, 0);
  for (const bool apart : {false, true}) {
    sim::bench::set_host_settings({.reference_apart = apart});
    const auto host = sim::bench::make_host("", 1);
    EXPECT_EQ(host->apart(), apart);
    std::vector<sim::bench::BridgeChange> changes;
    sim::bench::ControllerPort port(*host, 0, config, {0.0, 2.0},
                                    {{.rising_s = 0.1, .falling_s = 0.103, .seed = 0},
                                     {.rising_s = 0.45, .falling_s = 0.453, .seed = 1}});
    const auto run_to = [&](int ms) {
      port.run_until(shared::Instant{} + shared::milliseconds(ms), {}, changes);
    };
    run_to(200);
    EXPECT_EQ(port.health().edges_accepted, 1u);
    EXPECT_EQ(port.health().resets, 0u);
    const auto at = [](int ms) { return shared::Instant{} + shared::milliseconds(ms); };
    port.stop(at(200), changes);
    EXPECT_EQ(changes.back().command.state, SILLION_BRIDGE_FAST_DECAY);
    run_to(290);
    port.restart(at(300), SILLION_RESET_WATCHDOG, sim::bench::Retained::kKept);
    run_to(400);
    EXPECT_EQ(port.health().edges_accepted, 1u);
    EXPECT_EQ(port.health().resets, 1u);
    EXPECT_GT(port.last_kick(), at(395));
    port.stop(at(400), changes);
    port.restart(at(440), SILLION_RESET_REQUEST, sim::bench::Retained::kDamaged);
    run_to(500);
    EXPECT_EQ(port.health().edges_accepted, 1u);  // the second edge
    EXPECT_EQ(port.health().resets, 1u);
    port.stop(at(500), changes);
    port.restart(at(510), SILLION_RESET_POWER, sim::bench::Retained::kNone);
    run_to(520);
    EXPECT_EQ(port.health().edges_accepted, 0u);
    EXPECT_EQ(port.health().resets, 0u);
  }
}

TEST(GuardedMemory, ItsEndTouchesWhatNobodyMayTouch) {
  sim::bench::GuardedMemory memory(1000);
  EXPECT_EQ(memory.size(), 1000u);
  EXPECT_EQ(reinterpret_cast<std::uintptr_t>(memory.data()) % 8, 0u);
  std::memset(memory.data(), 0xff, 1000);
  EXPECT_TRUE(memory.fences_whole());
  EXPECT_TRUE(memory.beside(memory.data() + 1000));
  EXPECT_FALSE(memory.beside(memory.data() + 999));
  EXPECT_FALSE(memory.beside(memory.data()));
  memory.clear();
  EXPECT_EQ(memory.data()[999], 0);
  memory.data()[-1] ^= 1u;
  EXPECT_FALSE(memory.fences_whole());
}

// A size that is no multiple of a word: the bytes that round it up belong to the fence.
TEST(GuardedMemory, BytesThatRoundItsSizeUpAreNotItsOwn) {
  sim::bench::GuardedMemory memory(1003);
  EXPECT_TRUE(memory.fences_whole());
  memory.data()[1003] ^= 1u;
  EXPECT_FALSE(memory.fences_whole());
}

}  // namespace
