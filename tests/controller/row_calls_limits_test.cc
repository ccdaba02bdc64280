// What a row controller does at the edges of its calls: when a state begins or is over, when a call
// comes early, late or by itself. Expected values from the top of controller/row_controller.h, of
// controller/safe_state.h and of controller/edge_filter.h.
#include <gtest/gtest.h>

#include "tests/controller/called_row.h"

namespace {

using test::CalledRow;

// 4677 nm on 0.762 m are 3564 mm3/s per m/s; the table ends at 20 000, which is 5.61 m/s.
TEST(RowCallsLimits, ARateThatLeavesTheTableAgainIsToldAgain) {
  CalledRow row(test::row_config());
  std::uint32_t us = 0;
  for (const std::int32_t speed_umps : {6'000'000, 6'000'000, 5'000'000, 6'000'000, 6'000'000}) {
    row.at(us += 1000);
    row.give_speed(speed_umps);
    row.call(SILLION_WHY_TICK | SILLION_WHY_FRAME);
  }
  EXPECT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), 2);
}

TEST(RowCallsLimits, OnlyACallThatLostEdgesCountsAnOverflow) {
  CalledRow row(test::row_config());
  row.at(20'000);
  row.edge(0);
  row.call(SILLION_WHY_EDGE);
  row.tick(21'000);
  EXPECT_EQ(row.health.capture_overflows, 0u);
  row.in.edge_overflow = 1;
  row.tick(22'000);
  EXPECT_EQ(row.health.capture_overflows, 1u);
}

// A seed covers the beam for 3.3 ms; a second rise within half of that is chatter.
TEST(RowCallsLimits, ABounceIsNoSecondSeed) {
  CalledRow row(test::row_config());
  row.at(20'000);
  row.give_speed();
  row.edge(1000);
  row.edge(0);
  row.call(SILLION_WHY_EDGE | SILLION_WHY_FRAME);
  EXPECT_EQ(row.row.seeds, 1u);
  EXPECT_EQ(row.row.queue.size(), 1u);
  EXPECT_EQ(row.health.edges_rejected, 1u);
}

TEST(RowCallsLimits, ASeedOfAClosedRowGetsNoBandWhenTheRowOpens) {
  CalledRow row(test::row_config());
  row.digital = CalledRow::kHold;
  row.at(20'000);
  row.give_speed();
  row.call(SILLION_WHY_TICK | SILLION_WHY_FRAME);
  row.at(20'500);
  row.edge(0);
  row.call(SILLION_WHY_EDGE);
  EXPECT_EQ(row.row.seeds, 1u) << "it is counted";
  row.digital = CalledRow::kAtWork;
  EXPECT_EQ(row.tick(21'000).compare_count, 0u);
  EXPECT_TRUE(row.row.queue.empty());
}

// The edges' stamps have 32 bits, of 1 us: after 71.6 min the same come again. The edge 1 ms behind
// the last one's stamp is no bounce of it.
TEST(RowCallsLimits, AnEdgeOfTheCountersLastRoundIsForgotten) {
  CalledRow row(test::row_config());
  row.at(20'000);
  row.edge(0);
  row.call(SILLION_WHY_EDGE);
  row.tick(1'800'000'000);
  row.tick(3'600'000'000);
  row.at(21'000);
  row.edge(0);
  row.call(SILLION_WHY_EDGE);
  EXPECT_EQ(row.row.seeds, 2u);
  EXPECT_EQ(row.health.edges_rejected, 0u);
}

// 20 mm between two bands take 5 ms at 4 m/s; a row that streams on purpose lays no bands.
TEST(RowCallsLimits, AStreamOnPurposeMissesNoGaps) {
  for (const std::uint32_t continuous : {0u, 1u}) {
    sillion_config config = test::row_config();
    config.theoretical_spacing_um = 100'000;
    config.band_length_um = 80'000;
    config.continuous = continuous;
    CalledRow row(config);
    row.at(1000);
    row.give_speed(4'100'000);
    row.call(SILLION_WHY_TICK | SILLION_WHY_FRAME);
    EXPECT_EQ(row.count(SILLION_EVENT_NOT_RESOLVABLE), continuous == 0 ? 1 : 0);
  }
}

// 60 spacings of 150 mm are 2.03 s at 16 km/h; the next report comes at 2.201 s.
TEST(RowCallsLimits, TheReportCarriesTheAlarms) {
  CalledRow row(test::row_config());
  row.run(1, 2001);
  EXPECT_EQ(row.report().alarms, 0);
  row.run(2002, 2201);
  EXPECT_EQ(row.report().alarms, SILLION_ALARM_NO_SEEDS);
}

// The ms in which a cause goes does not count, and less than one has gone since the tick.
TEST(RowCallsLimits, ARowThatOpensWithinAMillisecondOfATickWasClosedNoLonger) {
  CalledRow row(test::row_config());
  row.digital = CalledRow::kHold;
  row.at(1000);
  row.give_speed();
  row.call(SILLION_WHY_TICK | SILLION_WHY_FRAME);
  ASSERT_EQ(row.health.safe_closed_ms, 1u);
  row.digital = CalledRow::kAtWork;
  for (const std::uint32_t us : {1500u, 1999u}) {
    row.at(us);
    row.call(SILLION_WHY_FRAME);
    EXPECT_EQ(row.health.safe_closed_ms, 1u) << us;
  }
}

// A row at rest is called every 20 ms; more than 100 ms between two ticks is garbage.
TEST(RowCallsLimits, BetweenTwoTicksAtMost100MillisecondsCount) {
  CalledRow row(test::row_config());
  row.digital = CalledRow::kHold;
  row.tick(1000);
  row.tick(100'000);
  EXPECT_EQ(row.health.safe_closed_ms, 100u);
  row.tick(10'100'000);
  EXPECT_EQ(row.health.safe_closed_ms, 200u);
}

TEST(RowCallsLimits, TimeBeginsWithTheStartWhateverTheCounterShows) {
  for (const std::uint32_t start_ticks : {0u, 5'000'000u, test::kStartTicks}) {
    sillion_config config = test::row_config();
    config.start_ticks = start_ticks;
    CalledRow row(config);
    row.digital = CalledRow::kHold;
    row.in.now_ticks = start_ticks + 1000;
    row.call(SILLION_WHY_TICK);
    EXPECT_EQ(row.health.safe_closed_ms, 1u) << start_ticks;
  }
}

// 600 counts of 20 mV are 12 V, 650 are 13 V, and the mean is one of 64 samples: one of them makes
// 12 + 1/64 V, 21 of them 13 - (63/64)^21 = 12.2816 V (22 would make 12.2928).
TEST(RowCallsLimits, ASampleOfTheSupplyCountsForEachMillisecondAsleepOrNot) {
  sillion_config config = test::row_config();
  config.analog_full_scale[1] = 20 * 1023;
  CalledRow row(config);
  row.digital = CalledRow::kLifted;
  const auto supply_mv = [&](std::uint32_t us, std::uint16_t counts) {
    row.in.analog_counts[1] = counts;
    row.tick(us);
    return controller::supply_mv(row.row.corrections);
  };
  EXPECT_EQ(supply_mv(1000, 600), 12'000);
  EXPECT_EQ(supply_mv(2000, 650), 12'015);
  EXPECT_NEAR(supply_mv(22'000, 650), 12'281.6, 2.0);
}

// Slow by 0.5 ms and more, over below 0.25 ms; NO_SEEDS is another alarm.
TEST(RowCallsLimits, AValveIsJudgedSlowWhateverElseIsRaised) {
  for (const std::int32_t late_us : {300, 600}) {
    CalledRow row(test::row_config());
    row.run(1, 2100);
    ASSERT_EQ(row.row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS));
    row.row.opening = {16 * late_us, 8};
    row.tick(2'101'000);
    row.tick(2'102'000);
    const bool slow = late_us >= 500;
    EXPECT_EQ(row.row.alarms.raised & SILLION_ALARM_SLOW_VALVE,
              slow ? static_cast<std::uint32_t>(SILLION_ALARM_SLOW_VALVE) : 0u);
    EXPECT_EQ(row.count(SILLION_EVENT_OPENING_LATE), slow ? 1 : 0) << late_us;
  }
}

// Once lowered, the row wants the next tick, and the one after that decides anew.
TEST(RowCallsLimits, ASleepEndsWithTheRest) {
  CalledRow row(test::row_config());
  row.digital = CalledRow::kLifted;
  EXPECT_EQ(row.tick(1000).sleep_ticks, 20'000u);
  row.digital = CalledRow::kAtWork;
  row.at(6000);
  EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 0u);
  row.digital = CalledRow::kLifted;
  row.at(7000);
  EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 0u);
  EXPECT_EQ(row.tick(8000).sleep_ticks, 20'000u);
}

TEST(RowCallsLimits, TheClosingCommandIsGivenOncePerSafeState) {
  CalledRow row(test::row_config());
  for (const std::uint32_t from_us : {1000u, 11'000u}) {
    row.digital = CalledRow::kHold;
    row.at(from_us);
    row.give_speed();
    row.call(SILLION_WHY_TICK | SILLION_WHY_FRAME);
    EXPECT_EQ(row.out.bridge_valid, 1u);
    EXPECT_EQ(row.out.bridge.state, SILLION_BRIDGE_FAST_DECAY);
    EXPECT_EQ(row.tick(from_us + 1000).bridge_valid, 0u);
    row.at(from_us + 1500);
    EXPECT_EQ(row.call(SILLION_WHY_FRAME).bridge_valid, 0u);
    row.digital = CalledRow::kAtWork;
    EXPECT_EQ(row.tick(from_us + 2000).bridge_valid, 0u);
  }
}

// Two seeds 40 ms apart at a steady speed open 40 ms apart. No tick comes meanwhile.
TEST(RowCallsLimits, BehindAMatchTheNextPulseIsPlannedAtOnce) {
  CalledRow row(test::row_config());
  row.at(20'000);
  row.give_speed();
  row.call(SILLION_WHY_FRAME);
  for (const std::uint32_t us : {20'500u, 60'500u}) {
    row.at(us);
    row.edge(0);
    row.call(SILLION_WHY_EDGE);
  }
  const std::uint32_t open_ticks = row.row.planner.opening.at_ticks;
  row.in.now_ticks = open_ticks;
  row.in.compare[controller::kOpenChannel] = SILLION_COMPARE_MATCHED;
  row.call(SILLION_WHY_COMPARE);
  ASSERT_TRUE(row.row.planner.pulse.open);
  row.in.now_ticks = row.row.planner.closing.at_ticks;
  row.in.compare[controller::kCloseChannel] = SILLION_COMPARE_MATCHED;
  EXPECT_EQ(row.call(SILLION_WHY_COMPARE).compare_count, 2u) << "opening and closing";
  EXPECT_NEAR(controller::since_us(row.row.planner.opening.at_ticks, open_ticks), 40'000, 2);
}

/// Does the row's last command on its part, and tells it with the next call.
void obey(CalledRow& row, std::vector<std::uint8_t>& part) {
  const sillion_output& out = row.out;
  std::uint8_t* page = part.data() + std::size_t{out.storage_page} * SILLION_PAGE_BYTES;
  for (std::size_t k = 0; k < SILLION_PAGE_BYTES; ++k) {
    if (out.storage_command == SILLION_STORAGE_ERASE) page[k] = 0xff;
    if (out.storage_command == SILLION_STORAGE_PROGRAM) page[k] &= out.storage[k];
    if (out.storage_command == SILLION_STORAGE_READ) row.in.storage[k] = page[k];
  }
  row.in.storage_done = out.storage_command;
  row.in.storage_page = out.storage_page;
}

// Page by page the two copies of the configuration, then the first page of the count.
TEST(RowCallsLimits, TheCountOfOpeningsIsWrittenBehindTheConfiguration) {
  std::vector<std::uint8_t> part(controller::kRowPages * SILLION_PAGE_BYTES, 0xff);
  CalledRow row(test::row_config(), part);
  row.digital = CalledRow::kLifted;
  row.row.planner.openings = 5;
  std::vector<std::uint32_t> programmed;
  for (std::uint32_t ms = 1; ms <= 4 * controller::kRowPages; ++ms) {
    row.tick(1000 * ms);
    if (row.out.storage_command == SILLION_STORAGE_PROGRAM)
      programmed.push_back(row.out.storage_page);
    obey(row, part);
  }
  ASSERT_EQ(programmed.size(), controller::kConfigPages + 1);
  for (std::uint32_t page = 0; page <= controller::kConfigPages; ++page)
    EXPECT_EQ(programmed[page], page);
  EXPECT_EQ(part[controller::kConfigPages * SILLION_PAGE_BYTES], 5) << "lowest byte of the count";
  EXPECT_EQ(row.count(SILLION_EVENT_STORAGE_FAILED), 0);
}

}  // namespace
