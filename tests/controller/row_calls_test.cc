// A row controller call by call: what one call does with its frames, edges and ticks, and what it
// answers. Times and numbers from shared/controller_abi.h, shared/row_frames.h and the top of
// controller/row_controller.h.
#include <gtest/gtest.h>

#include <vector>

#include "tests/controller/called_row.h"

namespace {

using test::CalledRow;

TEST(RowCalls, FramesAndEdgesBehindTheirCountAreNone) {
  CalledRow row(test::row_config());
  row.at(1000);
  row.give_speed(CalledRow::k16kmph_umps, false);
  row.call(SILLION_WHY_FRAME);
  EXPECT_FALSE(row.row.motion.known);
  row.give_speed();
  row.give_speed(1'000'000, false);
  row.edge(0, false);
  row.call(SILLION_WHY_FRAME);
  EXPECT_EQ(row.row.motion.speed_umps, CalledRow::k16kmph_umps);
  EXPECT_EQ(row.row.seeds, 0u);
  row.edge(5000);
  row.edge(0, false);
  row.call(SILLION_WHY_EDGE);
  EXPECT_EQ(row.row.seeds, 1u);
}

TEST(RowCalls, ASetPointIsValidForItsTime) {
  CalledRow row(test::row_config());
  row.at(1000);
  row.give_set_point(100);
  row.call(SILLION_WHY_FRAME);
  row.tick(101'000);
  EXPECT_TRUE(row.row.set_point.known);
  row.tick(101'001);
  EXPECT_FALSE(row.row.set_point.known);
}

TEST(RowCalls, NothingOfADamagedSetPointIsTaken) {
  CalledRow row(test::row_config());
  row.at(1000);
  row.give_set_point(100);
  row.in.frames[0].length = 15;
  row.call(SILLION_WHY_FRAME);
  EXPECT_FALSE(row.row.set_point.known);
  EXPECT_EQ(row.health.bad_frames, 1u);
}

// 1 nm x 0.762 m x 4.444 m/s are 3 mm3/s, the table begins at 4000; the event has tenths.
TEST(RowCalls, ARateBelowTheTableIsToldAndARateOfNothingIsNot) {
  for (const std::int32_t rate_nm : {0, 1, 2}) {
    sillion_config config = test::row_config();
    config.in_band_rate_nm = rate_nm;
    CalledRow row(config);
    row.at(1000);
    row.give_speed();
    row.call(SILLION_WHY_FRAME);
    row.tick(2000);
    ASSERT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), rate_nm > 0 ? 1 : 0);
    for (const sillion_event_record& event : row.events)
      if (event.code == SILLION_EVENT_RATE_OUT_OF_RANGE) {
        EXPECT_EQ(event.a, rate_nm == 1 ? 30 : 70);
        EXPECT_EQ(event.b, 40'000);
      }
  }
  for (const std::int32_t speed_umps : {50'000, 50'001}) {
    CalledRow row(test::row_config());
    row.at(1000);
    row.give_speed(speed_umps);
    row.call(SILLION_WHY_FRAME);
    EXPECT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), speed_umps > 50'000 ? 1 : 0)
        << "standing, no rate is wanted";
  }
  CalledRow row(test::row_config());
  row.run(1, 2);
  EXPECT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), 0) << "15 840 mm3/s lie in the table";
}

TEST(RowCalls, EachEdgeOfACallBecomesASeedWithItsNumber) {
  CalledRow row(test::row_config());
  row.at(20'000);
  row.give_speed();
  row.edge(10'000);
  row.edge(5'000);
  row.edge(0);
  row.in.edge_overflow = 1;
  row.call(SILLION_WHY_EDGE | SILLION_WHY_FRAME);
  EXPECT_EQ(row.row.seeds, 3u);
  ASSERT_EQ(row.row.queue.size(), 3u);
  for (std::uint32_t k = 0; k < 3; ++k) {
    EXPECT_EQ(row.row.queue.at(k).number, k);
    EXPECT_EQ(row.row.queue.at(k).edge_ticks, test::kStartTicks + 10'000 + 5'000 * k);
  }
  EXPECT_EQ(row.health.capture_overflows, 1u);
}

TEST(RowCalls, ASeedIsPlannedInItsOwnCall) {
  CalledRow row(test::row_config());
  row.at(20'000);
  row.give_speed();
  EXPECT_EQ(row.call(SILLION_WHY_FRAME).compare_count, 0u);
  row.at(20'500);
  row.edge(0);
  EXPECT_EQ(row.call(SILLION_WHY_EDGE).compare_count, 2u) << "opening and closing";
}

TEST(RowCalls, WithoutSeedsNothingIsArmedAndNothingCancelled) {
  CalledRow row(test::row_config());
  row.at(1000);
  row.give_speed();
  EXPECT_EQ(row.call(SILLION_WHY_TICK).compare_count, 0u);
}

TEST(RowCalls, AStreamNeedsNoSeeds) {
  sillion_config config = test::row_config();
  config.continuous = 1;
  CalledRow row(config);
  row.at(20'000);
  row.give_speed();
  row.edge(0);
  row.call(SILLION_WHY_EDGE | SILLION_WHY_FRAME);
  EXPECT_EQ(row.row.seeds, 1u) << "it is counted";
  EXPECT_TRUE(row.row.queue.empty());
}

// 20 mm between two bands take 5 ms at 4 m/s.
TEST(RowCalls, BandsThatLeaveNoTimeToCloseAreToldOnce) {
  for (const std::int32_t speed_umps : {4'000'000, 4'000'001}) {
    sillion_config config = test::row_config();
    config.theoretical_spacing_um = 100'000;
    config.band_length_um = 80'000;
    CalledRow row(config);
    row.at(1000);
    row.give_speed(speed_umps);
    row.call(SILLION_WHY_TICK);
    row.tick(2000);
    EXPECT_EQ(row.count(SILLION_EVENT_NOT_RESOLVABLE), speed_umps > 4'000'000 ? 1 : 0);
  }
}

// 1023 counts are 1023 kPa, so 100 counts are a quarter of 400 kPa.
TEST(RowCalls, ThePressureIsCountsOverTheirMost) {
  for (const int counts : {0, 99, 100, 1023}) {
    for (const std::int32_t full_pa : {1'023'000, 0}) {
      sillion_config config = test::row_config();
      config.analog_full_scale[0] = full_pa;
      CalledRow row(config);
      row.at(500);
      row.give_set_point(60'000);
      row.call(SILLION_WHY_FRAME);
      row.pressure_counts = static_cast<std::uint16_t>(counts);
      row.run(1, 1400);
      EXPECT_EQ(
          row.row.alarms.raised,
          static_cast<std::uint32_t>(counts < 100 && full_pa > 0 ? SILLION_ALARM_EMPTY_LINE : 0))
          << counts;
    }
  }
}

TEST(RowCalls, AReportComesWithTheFirstTickAndEvery200Milliseconds) {
  sillion_config config = test::row_config();
  config.row = 5;
  CalledRow row(config);
  row.run(1, 1);
  EXPECT_EQ(row.report().row, 5);
  EXPECT_EQ(row.report().state & controller::kFlowValid, 0);
  EXPECT_EQ(row.report().flow_mm3ps, 0) << "nothing has been measured";
  EXPECT_EQ(row.report().wanted_mm3ps, 0);
  EXPECT_EQ(row.report().sequence, 1u);
  row.run(2, 1001);
  EXPECT_EQ(row.reports_ms, (std::vector<std::uint32_t>{1, 201, 401, 601, 801, 1001}));
}

TEST(RowCalls, TheWatchdogIsKickedInEachTickAndInNoOtherCall) {
  CalledRow row(test::row_config());
  EXPECT_EQ(row.tick(999).watchdog_kick, 1u);
  EXPECT_EQ(row.report().sequence, 1u) << "a tick that comes early is a tick";
  row.at(1500);
  EXPECT_EQ(row.call(SILLION_WHY_FRAME).watchdog_kick, 0u);
  EXPECT_EQ(row.tick(2000).watchdog_kick, 1u);
}

// 60 spacings of 150 mm are 2.03 s at 16 km/h.
TEST(RowCalls, OnlyARowThatLaysBandsMissesItsSeeds) {
  for (const bool holds : {false, true}) {
    for (const std::uint32_t continuous : {0u, 1u}) {
      sillion_config config = test::row_config();
      config.continuous = continuous;
      CalledRow row(config);
      row.digital = holds ? CalledRow::kHold : CalledRow::kAtWork;
      row.run(1, 2100);
      EXPECT_EQ(row.row.alarms.raised,
                static_cast<std::uint32_t>(!holds && continuous == 0 ? SILLION_ALARM_NO_SEEDS : 0));
    }
  }
}

TEST(RowCalls, ARowThatRestsAsksForNoTickFor20Milliseconds) {
  for (const std::uint32_t digital : {CalledRow::kLifted, CalledRow::kHold}) {
    CalledRow row(test::row_config());
    row.digital = digital;
    EXPECT_EQ(row.tick(1000).sleep_ticks, 20'000u);
    row.at(6000);
    EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 15'000u) << "until the same instant";
    row.at(20'999);
    EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 1u);
    row.at(21'000);
    EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 0u);
    EXPECT_EQ(row.tick(21'000).sleep_ticks, 20'000u);
    row.digital = CalledRow::kAtWork;
    row.at(22'000);
    EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 0u);
  }
  CalledRow waits(test::row_config());
  EXPECT_EQ(waits.tick(1000).sleep_ticks, 0u) << "no speed, but at work";
}

TEST(RowCalls, ARowThatWritesDoesNotSleep) {
  CalledRow busy(test::row_config());
  busy.digital = CalledRow::kLifted;
  busy.in.storage_busy = 1;
  EXPECT_EQ(busy.tick(1000).sleep_ticks, 0u);
  CalledRow counts(test::row_config());
  counts.digital = CalledRow::kLifted;
  counts.row.cycles.there = true;
  counts.row.planner.openings = 5;
  counts.tick(1000);
  EXPECT_EQ(counts.out.storage_command, static_cast<std::uint32_t>(SILLION_STORAGE_ERASE));
  EXPECT_EQ(counts.out.sleep_ticks, 0u) << "the count of openings begins to be written";
  CalledRow copies(test::row_config(), std::vector<std::uint8_t>(controller::kRowPages * 64, 0xff));
  copies.digital = CalledRow::kLifted;
  copies.tick(1000);
  EXPECT_EQ(copies.tick(2000).storage_command, static_cast<std::uint32_t>(SILLION_STORAGE_NONE));
  EXPECT_EQ(copies.out.sleep_ticks, 0u) << "the configuration's copies are not whole yet";
}

// The ms in which a cause came counts whole, that in which it went does not.
TEST(RowCalls, TimeInASafeStateIsCountedThroughASleep) {
  for (const int ending : {0, 1, 2}) {
    CalledRow row(test::row_config());
    row.digital = CalledRow::kHold;
    row.at(1000);
    row.give_speed();
    row.call(SILLION_WHY_TICK);
    EXPECT_EQ(row.health.safe_closed_ms, 1u);
    row.at(8000);
    if (ending != 2) row.digital = CalledRow::kAtWork;
    row.call(ending == 0 ? SILLION_WHY_FRAME : SILLION_WHY_TICK);
    EXPECT_EQ(row.health.safe_closed_ms, ending == 1 ? 7u : 8u) << ending;
  }
  CalledRow row(test::row_config());
  row.at(1000);
  row.give_speed();
  row.call(SILLION_WHY_TICK);
  EXPECT_EQ(row.health.safe_closed_ms, 0u);
  row.digital = CalledRow::kHold;
  row.at(1500);
  row.call(SILLION_WHY_FRAME);
  row.tick(2000);
  EXPECT_EQ(row.health.safe_closed_ms, 1u);
}

// A rate of 4677 nm is 15 840 mm3/s at 16 km/h: 79.2 pulses of 200 mm3. The table ends at 4000 and
// at 20 000 mm3/s.
TEST(RowCalls, ALiftIsTrimmedInsideTheTable) {
  struct Case {
    std::int32_t rate_nm;
    std::uint32_t pulses_per_s;
    int side;
  };
  for (const auto& [rate_nm, pulses_per_s, side] :
       {Case{4677, 72, 1}, Case{4677, 87, -1}, Case{8000, 90, 0}, Case{8000, 110, -1},
        Case{1000, 22, 0}, Case{1000, 18, 1}}) {
    sillion_config config = test::row_config();
    config.in_band_rate_nm = rate_nm;
    config.continuous = 1;
    config.attachment.lift_settable = 1;
    config.meter_mm3_per_pulse = 200;
    CalledRow row(config);
    row.pulses_per_s = pulses_per_s;
    row.run(1, 1500);
    EXPECT_TRUE(row.row.rate.flow_valid);
    const std::int32_t trim = row.row.rate.trim_q16;
    EXPECT_EQ((trim > 0) - (trim < 0), side) << rate_nm << " " << pulses_per_s;
  }
}

// A stream that begins at 201 ms has lain for 10 s at 10 201 ms, when a report is due.
TEST(RowCalls, AMeterThatGivesNoPulseIsReportedAfterTenSeconds) {
  sillion_config config = test::row_config();
  config.continuous = 1;
  config.meter_mm3_per_pulse = 200;
  CalledRow row(config);
  for (std::uint32_t ms = 1; ms < 201; ++ms) row.tick(1000 * ms);
  row.run(201, 10'001);
  EXPECT_EQ(row.report().state & controller::kFlowValid, 0);
  row.run(10'002, 10'199);
  row.tick(10'200'999);
  EXPECT_FALSE(row.row.rate.flow_valid) << "1 us is missing";
  row.tick(10'201'000);
  EXPECT_NE(row.report().state & controller::kFlowValid, 0);
  EXPECT_EQ(row.report().flow_mm3ps, 0);
}

}  // namespace
