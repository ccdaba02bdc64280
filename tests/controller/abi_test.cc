#include <gtest/gtest.h>

#include <cstring>
#include <vector>

#include "controller/retained.h"
#include "tests/controller/fake_hardware.h"

namespace {

using test::FakeHardware;
using test::row_config;

struct Block {
  std::vector<std::uint64_t> words = std::vector<std::uint64_t>(4096);
  sillion_controller* start(const sillion_config& config, std::size_t size = 4096 * 8) {
    return sillion_init(words.data(), size, &config, nullptr, 0, nullptr, 0);
  }
};

TEST(Abi, DescribesBothRolesAndNoOther) {
  for (const std::uint32_t role : {SILLION_ROLE_ROW, SILLION_ROLE_MACHINE}) {
    const sillion_hardware* hardware = sillion_describe(role);
    ASSERT_NE(hardware, nullptr);
    EXPECT_EQ(hardware->abi_version, SILLION_ABI_VERSION);
    EXPECT_LE(hardware->tick_ns, 10'000u);  // 10 us or finer
    EXPECT_LE(hardware->compare_channels, static_cast<std::uint32_t>(SILLION_COMPARE_MAX));
    EXPECT_LE(hardware->memory_bytes, 16'384u);  // a small microcontroller has that much
  }
  EXPECT_EQ(sillion_describe(0), nullptr);
  EXPECT_EQ(sillion_describe(3), nullptr);
}

TEST(Abi, RefusesWhatItCannotWorkWith) {
  Block block;
  EXPECT_NE(block.start(row_config()), nullptr);
  EXPECT_EQ(block.start(row_config(), 100), nullptr);
  EXPECT_EQ(sillion_init(nullptr, 1 << 20, nullptr, nullptr, 0, nullptr, 0), nullptr);
  const sillion_config good = row_config();
  EXPECT_EQ(sillion_init(reinterpret_cast<char*>(block.words.data()) + 1, 30'000, &good, nullptr, 0,
                         nullptr, 0),
            nullptr);
  const auto refused = [&](auto change) {
    sillion_config config = row_config();
    change(config);
    return block.start(config) == nullptr;
  };
  EXPECT_TRUE(refused([](auto& c) { c.role = 9; }));
  EXPECT_TRUE(refused([](auto& c) { c.band_length_um = 0; }));
  EXPECT_TRUE(refused([](auto& c) { c.row_width_um = -1; }));
  EXPECT_TRUE(refused([](auto& c) { c.in_band_rate_nm = INT32_MAX; }));
  EXPECT_TRUE(refused([](auto& c) { c.rows = 0; }));
  EXPECT_TRUE(refused([](auto& c) { c.speed_timeout_ms = 0; }));
  EXPECT_TRUE(refused([](auto& c) { c.attachment.delay_time_us = INT32_MIN; }));
  EXPECT_TRUE(refused([](auto& c) { c.attachment.points = 0; }));
  EXPECT_TRUE(refused([](auto& c) { c.attachment.shortest_on_us = -1; }));
}

TEST(Abi, NullArgumentsDoNothing) {
  sillion_input in{};
  sillion_output out{};
  sillion_step(nullptr, &in, &out);
  Block block;
  sillion_controller* controller = block.start(row_config());
  sillion_step(controller, nullptr, &out);
  sillion_step(controller, &in, nullptr);
  EXPECT_EQ(out.watchdog_kick, 0u);
}

/// A run of 40 seeds whose bridge changes can be compared.
FakeHardware busy_row(double speed_mps) {
  FakeHardware row(row_config());
  row.report_speed([=](double) { return speed_mps; }, 0.0, 500, 3'000'000);
  for (int i = 0; i < 40; ++i) row.drop_seed(500'000 + i * 37'000);
  return row;
}

TEST(Abi, TwoControllersInOneProcessDoNotMeet) {
  FakeHardware alone_slow = busy_row(2.0);
  alone_slow.run_until(3'000'000);
  FakeHardware alone_fast = busy_row(4.0);
  alone_fast.run_until(3'000'000);
  FakeHardware slow = busy_row(2.0);
  FakeHardware fast = busy_row(4.0);
  for (int ms = 1; ms <= 3000; ++ms) {
    slow.run_until(ms * 1000);
    fast.run_until(ms * 1000);
  }
  const auto same = [](const FakeHardware& a, const FakeHardware& b) {
    ASSERT_EQ(a.changes.size(), b.changes.size());
    for (std::size_t i = 0; i < a.changes.size(); ++i) {
      EXPECT_EQ(a.changes[i].at_us, b.changes[i].at_us);
    }
  };
  same(slow, alone_slow);
  same(fast, alone_fast);
  EXPECT_FALSE(slow.changes.empty());
}

TEST(Abi, ABlockFullOfGarbageStartsClean) {
  const sillion_config config = row_config();
  std::vector<std::uint64_t> dirty(4096, 0xdeadbeefdeadbeefull);
  sillion_controller* controller =
      sillion_init(dirty.data(), dirty.size() * 8, &config, nullptr, 0, nullptr, 0);
  ASSERT_NE(controller, nullptr);
  sillion_input in{};
  in.now_ticks = config.start_ticks;
  in.why = SILLION_WHY_TICK;
  sillion_output out{};
  sillion_step(controller, &in, &out);
  EXPECT_EQ(out.health.edges_accepted, 0u);
}

// A watchdog reset in the middle of a pulse leaves the bridge driving and compares armed: the first
// call closes and cancels both.
TEST(Abi, TheFirstCallAfterAResetClosesTheValve) {
  sillion_config config = row_config();
  config.reset_cause = SILLION_RESET_WATCHDOG;
  Block block;
  sillion_controller* controller = block.start(config);
  sillion_input in{};
  in.now_ticks = config.start_ticks;
  in.digital = 7;
  sillion_output out{};
  sillion_step(controller, &in, &out);
  EXPECT_EQ(out.bridge_valid, 1u);
  EXPECT_EQ(out.bridge.state, SILLION_BRIDGE_FAST_DECAY);
  ASSERT_EQ(out.compare_count, 2u);
  EXPECT_EQ(out.compares[0].armed, 0);
  EXPECT_EQ(out.compares[1].armed, 0);
}

TEST(Abi, CountersSurviveAResetAndResetsAreCounted) {
  FakeHardware before = busy_row(4.0);
  before.run_until(3'000'000);
  EXPECT_EQ(before.health.edges_accepted, 40u);
  sillion_config config = row_config();
  config.reset_cause = SILLION_RESET_WATCHDOG;
  FakeHardware after(config, &before.memory());
  after.run_until(10'000);
  EXPECT_EQ(after.health.edges_accepted, 40u);
  EXPECT_EQ(after.health.resets, 1u);
  FakeHardware again(config, &after.memory());
  again.run_until(10'000);
  EXPECT_EQ(again.health.resets, 2u);
}

TEST(Abi, BrokenRetainedMemoryStartsFromZero) {
  FakeHardware before = busy_row(4.0);
  before.run_until(3'000'000);
  std::vector<std::uint64_t> broken = before.memory();
  broken[2] ^= 1;
  sillion_config config = row_config();
  config.reset_cause = SILLION_RESET_WATCHDOG;
  FakeHardware after(config, &broken);
  after.run_until(10'000);
  EXPECT_EQ(after.health.edges_accepted, 0u);
  EXPECT_EQ(after.health.resets, 1u);
  config.reset_cause = SILLION_RESET_POWER;
  FakeHardware powered(config, &before.memory());
  powered.run_until(10'000);
  EXPECT_EQ(powered.health.edges_accepted, 0u);
  EXPECT_EQ(powered.health.resets, 0u);
}

}  // namespace
