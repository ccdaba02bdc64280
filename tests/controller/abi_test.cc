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
  EXPECT_EQ(sillion_init(block.words.data(), 4096 * 8, nullptr, nullptr, 0, nullptr, 0), nullptr);
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

struct Bound {
  const char* name;
  void (*set)(sillion_config&, std::int32_t);
  std::int32_t least;
  std::int32_t most;
};

constexpr std::uint32_t word(std::int32_t value) { return static_cast<std::uint32_t>(value); }

// What keeps products within 64 bits and instants within half a counter: each bound by itself is
// still taken, and one step beyond it is refused. For a count, one step below 0 is 2^32 - 1.
constexpr Bound kBounds[] = {
    {"rows", [](auto& c, auto v) { c.rows = word(v); }, 1, 64},
    {"row", [](auto& c, auto v) { c.row = word(v); }, 0, 63},
    {"row_y_mm", [](auto& c, auto v) { c.row_y_mm = v; }, -50'000, 50'000},
    {"row_width_um", [](auto& c, auto v) { c.row_width_um = v; }, 1, 5'000'000},
    {"theoretical_spacing_um", [](auto& c, auto v) { c.theoretical_spacing_um = v; }, 1,
     10'000'000},
    {"band_length_um", [](auto& c, auto v) { c.band_length_um = v; }, 1, 2'000'000},
    {"in_band_rate_nm", [](auto& c, auto v) { c.in_band_rate_nm = v; }, 0, 100'000},
    {"trim_um", [](auto& c, auto v) { c.trim_um = v; }, -500'000, 500'000},
    {"seed_dwell_us", [](auto& c, auto v) { c.seed_dwell_us = word(v); }, 0, 1'000'000},
    {"speed_timeout_ms", [](auto& c, auto v) { c.speed_timeout_ms = word(v); }, 1, 10'000},
    {"speed_lag_ms", [](auto& c, auto v) { c.speed_lag_ms = v; }, 0, 5'000},
    {"meter_mm3_per_pulse", [](auto& c, auto v) { c.meter_mm3_per_pulse = word(v); }, 0, 1'000'000},
    {"pressure_max_pa", [](auto& c, auto v) { c.pressure_max_pa = v; }, 0, 10'000'000},
    {"liquid_viscosity_upas", [](auto& c, auto v) { c.liquid_viscosity_upas = v; }, 0, 10'000'000},
    {"delay_time_us", [](auto& c, auto v) { c.attachment.delay_time_us = v; }, -5'000'000,
     5'000'000},
    {"delay_distance_um", [](auto& c, auto v) { c.attachment.delay_distance_um = v; }, -5'000'000,
     5'000'000},
    {"reference_band_um", [](auto& c, auto v) { c.attachment.reference_band_um = v; }, 0,
     2'000'000},
    {"reference_lead_us", [](auto& c, auto v) { c.attachment.reference_lead_us = v; }, -1'000'000,
     1'000'000},
    {"shortest_on_us", [](auto& c, auto v) { c.attachment.shortest_on_us = v; }, 0, 1'000'000},
    {"shortest_closed_us", [](auto& c, auto v) { c.attachment.shortest_closed_us = v; }, 0,
     1'000'000},
};

TEST(Abi, EveryBoundOfTheConfigurationHolds) {
  Block block;
  for (const Bound& bound : kBounds) {
    const auto starts = [&](std::int32_t value) {
      sillion_config config = row_config();
      bound.set(config, value);
      return block.start(config) != nullptr;
    };
    EXPECT_TRUE(starts(bound.least)) << bound.name;
    EXPECT_TRUE(starts(bound.most)) << bound.name;
    EXPECT_FALSE(starts(bound.least - 1)) << bound.name;
    EXPECT_FALSE(starts(bound.most + 1)) << bound.name;
  }
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

// Each reason alone for which retained memory does not count: too short, without its mark, of the
// other role. Then the reset is the first and the counters begin at 0.
TEST(Abi, RetainedMemoryOfAnotherKindDoesNotCount) {
  controller::Retained kept;
  kept.role = SILLION_ROLE_ROW;
  kept.health.edges_accepted = 7;
  kept.health.resets = 2;
  controller::seal(kept);
  const auto taken = [&](const controller::Retained& memory, std::size_t size, std::uint32_t role) {
    return controller::retained_from(&memory, size, role, SILLION_RESET_WATCHDOG).health;
  };
  EXPECT_EQ(taken(kept, sizeof kept, SILLION_ROLE_ROW).edges_accepted, 7u);
  EXPECT_EQ(taken(kept, sizeof kept, SILLION_ROLE_ROW).resets, 3u);
  controller::Retained unmarked = kept;
  unmarked.mark ^= 1;
  for (const sillion_health& fresh : {taken(kept, sizeof kept - 1, SILLION_ROLE_ROW),
                                      taken(kept, sizeof kept, SILLION_ROLE_MACHINE),
                                      taken(unmarked, sizeof kept, SILLION_ROLE_ROW)}) {
    EXPECT_EQ(fresh.edges_accepted, 0u);
    EXPECT_EQ(fresh.resets, 1u);
  }
}

}  // namespace
