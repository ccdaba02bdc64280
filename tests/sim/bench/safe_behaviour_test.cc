// The table "When something is lost" of controller/README.md: for each loss the time until the row
// is safe, the time from the end of the cause until bands are laid again, and what tells it. Each
// loss comes at five drawn instants of one pass; each bound is the sum of what can delay.
//
//   speed on the bus      every 100 ms, so the next one is up to 100 ms away
//   hand-over of frames   10 ms; a radio besides: up to its period of 100 ms, 1 ms on air, 0.5 ms
//   timeout of the speed  300 ms, and 1 ms each for the age in whole ms and for the row's tick
//   next seed             33.75 ms at 16 km/h and 150 mm; its wait from edge to command 28 ms
//   start of a part       10 ms; the watchdog's time 100 ms; brown-out time 1 ms
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <fstream>
#include <string>
#include <vector>

#include "sim/bench/controller_port.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_config.h"
#include "sim/measure/placement.h"
#include "sim/study/tune/tune_once.h"
#include "tests/sim/demo_scenario.h"
#include "tests/support/scratch_folder.h"

namespace {

using sim::bench::PassRecord;
using sim::scenario::FaultEntry;
using sim::scenario::Scenario;

constexpr int kTimes = 5;
constexpr int kBrownOut = 3, kPower = 0;  // of kResetCauses
constexpr int kLost = 1;                  // of kRetained
constexpr double kSpeed_s = 0.1;
constexpr double kHandOver_s = 10e-3;
constexpr double kAir_s = 0.1 + 1.5e-3;
constexpr double kStale_s = 0.3 + 2e-3;
constexpr double kNextBand_s = 33.75e-3 + 30e-3;
constexpr double kPart_s = 10e-3;
constexpr double kWatchdog_s = 0.1;

const std::vector<std::string> kRadio = {"network.radio.period=100 ms",
                                         "network.radio.slot=2.9 ms"};

struct Span {
  double from_s = 0.0, to_s = 0.0;
};

/// Five instants in 3 to 14 s, the k-th in the first second after 3 s + 2.2 s k.
double instant_s(int k) {
  std::uint64_t state = 0x9e3779b97f4a7c15ull * static_cast<std::uint64_t>(k + 1);
  state ^= state >> 29;
  return 3.0 + 2.2 * k + static_cast<double>(state >> 40) * 0x1p-24;
}

struct Loss {
  PassRecord record;
  std::vector<Span> spans;  // the cause begins and ends
};

/// The fault five times, each for `lasts_s`: its span, or how long its restart takes.
Loss lose(FaultEntry fault, double lasts_s, std::vector<std::string> more = {}) {
  more.insert(more.begin(), {"row.physics=ideal", "duration=\"15 s\""});
  Scenario scenario = sim_test::quiet_demo(more);
  const sillion_attachment_table table = sim::tune::tune_once(scenario).table;
  Loss loss;
  for (int k = 0; k < kTimes; ++k) {
    fault.from_s = instant_s(k);
    fault.until_s = fault.from_s + lasts_s;
    fault.by_s = lasts_s;
    loss.spans.push_back({fault.from_s, fault.until_s});
    scenario.faults.push_back(fault);
  }
  loss.record = sim::bench::run_pass(scenario, table, {});
  for (auto& row : loss.record.rows)
    sim::measure::match_bands(row, {.theoretical_spacing_m = scenario.seeding.meter.spacing_m,
                                    .band_length_m = scenario.rate.band_length_m});
  return loss;
}

struct Bounds {
  double safe_s = 0.0;   // from the beginning of the cause
  double again_s = 0.0;  // from its end to the opening command of the first band
  std::uint32_t event = SILLION_EVENT_NONE;
};

bool told(const sim::measure::RowRecord& row, std::uint32_t code, double from_s, double to_s) {
  return std::any_of(row.events.begin(), row.events.end(), [&](const auto& event) {
    return event.code == code && event.at_s >= from_s && event.at_s <= to_s;
  });
}

/// Judges one row: no band in the safe time, the first band in time, and from then on every seed
/// has its own.
void expect_safe(const Loss& loss, std::size_t index, const Bounds& bounds) {
  const sim::measure::RowRecord& row = loss.record.rows[index];
  double latest_close_s = 0.0, latest_again_s = 0.0;
  for (int k = 0; k < kTimes; ++k) {
    const Span& cause = loss.spans[static_cast<std::size_t>(k)];
    double again_s = 1e9;
    for (const auto& band : row.bands) {
      if (band.open_s > cause.to_s) again_s = std::min(again_s, band.open_s - cause.to_s);
      if (band.open_s > cause.to_s || band.close_s < cause.from_s) continue;
      latest_close_s = std::max(latest_close_s, band.close_s - cause.from_s);
      EXPECT_LE(band.close_s, cause.from_s + bounds.safe_s) << "row " << index << ", " << k;
    }
    latest_again_s = std::max(latest_again_s, again_s);
    EXPECT_LE(again_s, bounds.again_s) << "row " << index << ", " << k;
    if (bounds.event != SILLION_EVENT_NONE) {
      EXPECT_TRUE(told(row, bounds.event, cause.from_s, cause.to_s + bounds.again_s)) << k;
    }
    for (const auto& seed : row.seeds) {
      if (seed.edge_s < cause.to_s + bounds.again_s - 30e-3 || seed.edge_s > instant_s(k + 1) - 0.1)
        continue;
      if (seed.edge_s > 14.5) break;
      EXPECT_TRUE(sim::measure::has_own_band(seed)) << seed.edge_s;
    }
  }
  std::printf("row %zu: closed within %.0f of %.0f ms, lays again within %.0f of %.0f ms\n", index,
              1e3 * latest_close_s, 1e3 * bounds.safe_s, 1e3 * latest_again_s,
              1e3 * bounds.again_s);
}

void expect_untouched(const Loss& loss, std::size_t index) {
  const sim::measure::RowRecord& row = loss.record.rows[index];
  for (const auto& seed : row.seeds)
    if (seed.edge_s > 1.0 && seed.edge_s < 14.5) {
      EXPECT_TRUE(sim::measure::has_own_band(seed)) << seed.edge_s;
    }
  EXPECT_FALSE(told(row, SILLION_EVENT_SAFE_CLOSED, 1.0, 14.5));
}

/// From a row's or the machine's start to the first band: a speed, its way, a seed.
constexpr double kFromStart_s = kSpeed_s + kHandOver_s + kNextBand_s;

// The pins fall back with the reset: the valve shuts at once. The watchdog's reset comes 100 ms
// after the last kick; until then the row works.
TEST(SafeBehaviour, ARowRestarts) {
  const Loss power =
      lose({.kind = "restarted_row", .row = 0, .cause = kPower, .retained = kLost}, 0.3);
  expect_safe(power, 0,
              {.safe_s = 1e-3, .again_s = kFromStart_s, .event = SILLION_EVENT_SAFE_OVER});
  expect_untouched(power, 1);
  const Loss brown_out = lose({.kind = "dipped_row", .row = 0, .amount_ratio = 0.6}, 0.3);
  expect_safe(
      brown_out, 0,
      {.safe_s = 2e-3, .again_s = kPart_s + kFromStart_s, .event = SILLION_EVENT_SAFE_OVER});
  EXPECT_EQ(brown_out.record.rows[0].health.resets, 5u);
  expect_untouched(brown_out, 1);
  const Loss watchdog = lose({.kind = "missed_kick", .row = 0}, kWatchdog_s + kPart_s);
  expect_safe(
      watchdog, 0,
      {.safe_s = kWatchdog_s + 2e-3, .again_s = kFromStart_s, .event = SILLION_EVENT_SAFE_OVER});
  EXPECT_EQ(watchdog.record.rows[0].health.resets, 5u);
}

// Rows live on the last speed for 300 ms: a machine that is back in less is not missed. Else they
// close, and lay again within 175 ms of its start, 65 + 10 ms of its first speed.
TEST(SafeBehaviour, TheMachineRestarts) {
  const Loss brief = lose({.kind = "restarted_machine", .cause = 1}, 0.08);
  expect_untouched(brief, 0);
  expect_untouched(brief, 1);
  for (const int cause : {kPower, 1}) {
    const Loss loss = lose({.kind = "restarted_machine", .cause = cause, .retained = kLost}, 0.9);
    for (const std::size_t row : {0u, 1u})
      expect_safe(loss, row,
                  {.safe_s = kHandOver_s + kStale_s,
                   .again_s = kFromStart_s,
                   .event = SILLION_EVENT_SPEED_STALE});
  }
  const Loss brown_out = lose({.kind = "dipped_machine", .amount_ratio = 0.6}, 0.9);
  expect_safe(brown_out, 0,
              {.safe_s = kHandOver_s + kStale_s + 1e-3,
               .again_s = kPart_s + kFromStart_s,
               .event = SILLION_EVENT_SPEED_STALE});
  const Loss watchdog = lose({.kind = "missed_machine_kick"}, 0.2);
  expect_untouched(watchdog, 0);
}

// No frame reaches the machine: it repeats the last speed with its age.
TEST(SafeBehaviour, TheCabLinkIsLost) {
  const Loss loss = lose({.kind = "lost_cab_link"}, 0.9, {"network.cab.simulated=true"});
  for (const std::size_t row : {0u, 1u})
    expect_safe(loss, row,
                {.safe_s = kHandOver_s + kStale_s,
                 .again_s = kFromStart_s + 1e-3,
                 .event = SILLION_EVENT_SPEED_STALE});
}

// The bus falls silent, or says that it has no speed.
TEST(SafeBehaviour, TheSpeedGrowsStale) {
  for (const char* kind : {"lost_speed", "speed_not_available", "speed_error"}) {
    const Loss loss = lose({.kind = kind}, 0.9);
    expect_safe(loss, 0,
                {.safe_s = kHandOver_s + kStale_s,
                 .again_s = kFromStart_s,
                 .event = SILLION_EVENT_SPEED_STALE});
  }
  // By radio the wait for the machine's slot is not part of the age.
  const Loss radio = lose({.kind = "lost_speed"}, 0.9, kRadio);
  expect_safe(radio, 0,
              {.safe_s = kAir_s + kHandOver_s + kStale_s,
               .again_s = kAir_s + kFromStart_s,
               .event = SILLION_EVENT_SPEED_STALE});
}

// A frame that went before the jamming may still come within 1.5 ms and the hand-over.
TEST(SafeBehaviour, TheRadioIsJammed) {
  const Loss loss = lose({.kind = "radio_jammed"}, 0.9, kRadio);
  for (const std::size_t row : {0u, 1u})
    expect_safe(loss, row,
                {.safe_s = kHandOver_s + 1.5e-3 + kStale_s,
                 .again_s = kAir_s + kFromStart_s,
                 .event = SILLION_EVENT_SPEED_STALE});
}

// A dip that leaves more than the brown-out's voltage, or is shorter than its time, takes no
// controller off.
TEST(SafeBehaviour, ASmallDipDoesNothing) {
  for (const auto& [share, lasts_s] : {std::pair{0.3, 0.5}, std::pair{0.9, 0.8e-3}}) {
    const Loss row = lose({.kind = "dipped_row", .row = 0, .amount_ratio = share}, lasts_s);
    expect_untouched(row, 0);
    expect_untouched(lose({.kind = "dipped_machine", .amount_ratio = share}, lasts_s), 0);
  }
}

// Both copies bad: not one pulse, from the first call on, and an event says why.
TEST(SafeBehaviour, TheConfigurationIsLost) {
  const std::vector<std::string> sets = {"row.physics=ideal", "duration=\"4 s\""};
  const Scenario whole = sim_test::quiet_demo(sets);
  const sillion_attachment_table table = sim::tune::tune_once(whole).table;
  const ScratchFolder folder;
  const auto pages = sim::bench::make_host_here(sim::bench::reference_controller(), 1)
                         ->describe(SILLION_ROLE_ROW)
                         ->storage_pages;
  std::vector<std::string> bad = sets;
  const std::string file = (folder.path() / "bad.bin").string();
  std::ofstream(file, std::ios::binary)
      << std::string(std::size_t{pages} * SILLION_PAGE_BYTES, '\x5a');
  bad.push_back("controller.storage=" + file);
  const PassRecord record = sim::bench::run_pass(sim_test::quiet_demo(bad), table, {});
  for (const auto& row : record.rows) {
    EXPECT_TRUE(row.bands.empty());
    EXPECT_TRUE(told(row, SILLION_EVENT_CONFIG_LOST, 0.0, 2e-3));
    EXPECT_GT(row.health.safe_closed_ms, 3900u);
  }
}

}  // namespace
