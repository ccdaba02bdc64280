// The limits of the row's alarms, each met exactly and missed by the smallest step. Volumes are
// worked by hand from controller/row_alarms.h: a band of 4.677 um x 0.762 m x 0.075 m is 267.290550
// mm3, ten bands are 2672.905500 mm3.
#include <gtest/gtest.h>

#include <vector>

#include "controller/row_alarms.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::AlarmInputs;
using controller::Report;
using controller::RowAlarms;

constexpr std::int64_t kTenBands_nmm3 = 2'672'905'500;
constexpr std::int64_t kMm3_nmm3 = 1'000'000;
constexpr std::int64_t kSpacing_pm = 150'000'000'000;

/// A row that has worked for the second that flow and pressure are not judged in.
struct Row {
  explicit Row(std::uint32_t mm3_per_pulse) {
    config.meter_mm3_per_pulse = mm3_per_pulse;
    config.row = 3;
    begin_to_work();
  }
  void begin_to_work() {
    now.at_work = true;
    call();
    ticks += 1'000'000;
  }
  void call() {
    sillion_output out{};
    sillion_health health{};
    Report report{out, health, ticks};
    judge_alarms(alarms, config, now, report);
    events.insert(events.end(), out.events, out.events + out.event_count);
  }
  /// One call with these pulses and this volume that should have passed.
  void flow(std::uint32_t pulses, std::int64_t expected_nmm3) {
    now.meter_pulses += pulses;
    now.band_us = expected_nmm3;
    now.should_be_mm3ps = 1;
    call();
    now.band_us = 0;
  }
  void pressed(int calls, std::int32_t pressure_pa) {
    now.pressure_pa = pressure_pa;
    for (int k = 0; k < calls; ++k) call();
  }

  sillion_config config = test::row_config();
  RowAlarms alarms;
  AlarmInputs now;
  std::uint32_t ticks = 0;
  std::vector<sillion_event_record> events;
};

TEST(RowAlarmsLimits, AWindowIsTenBandsToTheLastPartOfThem) {
  Row row(10);
  row.flow(1, kTenBands_nmm3 - 1);
  EXPECT_EQ(row.alarms.raised, 0u) << "the window is not full";
  row.flow(0, 1);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_LOW_FLOW));
  ASSERT_EQ(row.events.size(), 1u);
  EXPECT_EQ(row.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_ALARM));
  EXPECT_EQ(row.events[0].a, SILLION_ALARM_LOW_FLOW);
  EXPECT_EQ(row.events[0].b, 3) << "the row";
}

// 10 pulses of 1000 mm3 are more than ten bands.
TEST(RowAlarmsLimits, AWindowIsTenPulsesWhereThatIsMore) {
  Row row(1000);
  row.flow(1, 10'000 * kMm3_nmm3 - 1);
  EXPECT_EQ(row.alarms.raised, 0u);
  row.flow(0, 1);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_LOW_FLOW));
}

TEST(RowAlarmsLimits, SevenTenthsAndThirteenTenthsAreInOrder) {
  constexpr std::int64_t kWindow_nmm3 = 10'000 * kMm3_nmm3;
  const std::pair<std::uint32_t, std::uint32_t> cases[] = {
      {6, SILLION_ALARM_LOW_FLOW}, {7, 0}, {8, 0}, {13, 0}, {14, SILLION_ALARM_HIGH_FLOW}};
  for (const auto& [pulses, alarm] : cases) {
    Row row(1000);
    row.flow(pulses, kWindow_nmm3);
    EXPECT_EQ(row.alarms.raised, alarm) << pulses;
  }
}

TEST(RowAlarmsLimits, EachWindowStandsForItself) {
  constexpr std::int64_t kWindow_nmm3 = 10'000 * kMm3_nmm3;
  Row row(1000);
  row.flow(14, kWindow_nmm3);
  row.flow(6, kWindow_nmm3);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_LOW_FLOW));
  row.flow(1, kWindow_nmm3 - 1);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_LOW_FLOW));
  row.flow(9, 1);
  EXPECT_EQ(row.alarms.raised, 0u) << "10 of 10";
}

// No flow: 10 bands, and 4 pulses of the meter where that is more.
TEST(RowAlarmsLimits, NoFlowIsTenBandsOrFourPulses) {
  for (const auto& [mm3_per_pulse, limit_nmm3] :
       {std::pair{10u, kTenBands_nmm3}, std::pair{1000u, 4000 * kMm3_nmm3}}) {
    Row row(mm3_per_pulse);
    row.flow(0, limit_nmm3 - 1);
    EXPECT_EQ(row.alarms.raised, 0u) << mm3_per_pulse;
    row.flow(0, 1);
    EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_FLOW))
        << mm3_per_pulse;
    row.flow(1, 0);
    EXPECT_EQ(row.alarms.raised, 0u) << "one pulse shows that it flows";
    row.flow(0, limit_nmm3 - 1);
    EXPECT_EQ(row.alarms.raised & SILLION_ALARM_NO_FLOW, 0u) << "counted from the last pulse on";
    row.flow(0, 1);
    EXPECT_NE(row.alarms.raised & SILLION_ALARM_NO_FLOW, 0u);
  }
}

TEST(RowAlarmsLimits, NoFlowIsNotLowFlowAsWell) {
  Row row(1000);
  row.flow(0, 10'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_FLOW));
}

// 20 spacings of 150 mm after an edge are 3 m, 60 before the first are 9 m.
TEST(RowAlarmsLimits, TheWayWithoutASeedIsMeasuredToTheMicrometre) {
  Row row(0);
  row.now.place_pm = 60 * kSpacing_pm - 1;
  row.call();
  EXPECT_EQ(row.alarms.raised, 0u);
  row.now.place_pm = 60 * kSpacing_pm;
  row.call();
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS));
  row.now.seeds = 1;
  row.call();
  EXPECT_EQ(row.alarms.raised, 0u);
  row.now.place_pm = 80 * kSpacing_pm - 1;
  row.call();
  EXPECT_EQ(row.alarms.raised, 0u);
  row.now.place_pm = 80 * kSpacing_pm;
  row.call();
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS));
}

TEST(RowAlarmsLimits, WithoutSeedsTheFlowIsJudgedAllTheSame) {
  Row row(1000);
  row.now.place_pm = 60 * kSpacing_pm;
  row.call();
  ASSERT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS));
  row.flow(6, 10'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised,
            static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS | SILLION_ALARM_LOW_FLOW));
}

// A quarter of 400 kPa; 300 calls of 1 ms.
TEST(RowAlarmsLimits, ALineIsEmptyBelowAQuarterForThreeHundredMilliseconds) {
  Row row(0);
  row.now.set_pa = 400'000;
  row.pressed(1000, 100'000);
  EXPECT_EQ(row.alarms.raised, 0u) << "a quarter is enough";
  row.pressed(299, 99'999);
  EXPECT_EQ(row.alarms.raised, 0u);
  row.pressed(1, 100'000);
  row.pressed(299, 99'999);
  EXPECT_EQ(row.alarms.raised, 0u) << "one call with pressure begins it anew";
  row.pressed(1, 99'999);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_EMPTY_LINE));
  row.pressed(1, 100'000);
  EXPECT_EQ(row.alarms.raised, 0u);
  row.now.set_pa = 0;
  row.pressed(1000, 0);
  EXPECT_EQ(row.alarms.raised, 0u) << "no set point is known";
}

TEST(RowAlarmsLimits, AnEmptyLineTakesBackWhatItExplainsAndNothingElse) {
  Row row(1000);
  row.now.place_pm = 60 * kSpacing_pm;
  row.now.set_pa = 400'000;
  row.pressed(1, 400'000);
  row.flow(14, 10'000 * kMm3_nmm3);
  ASSERT_EQ(row.alarms.raised,
            static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS | SILLION_ALARM_HIGH_FLOW));
  const std::size_t before = row.events.size();
  row.pressed(300, 0);
  EXPECT_EQ(row.alarms.raised,
            static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS | SILLION_ALARM_HIGH_FLOW |
                                       SILLION_ALARM_EMPTY_LINE));
  EXPECT_EQ(row.events.size(), before + 1);
  for (const std::uint32_t pulses : {0u, 6u}) {
    Row other(1000);
    other.now.set_pa = 400'000;
    other.pressed(1, 400'000);
    other.flow(pulses, 10'000 * kMm3_nmm3);
    ASSERT_NE(other.alarms.raised, 0u);
    other.pressed(300, 0);
    EXPECT_EQ(other.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_EMPTY_LINE)) << pulses;
  }
}

TEST(RowAlarmsLimits, NothingOfBeforeAHeadlandCounts) {
  Row row(1000);
  row.now.set_pa = 400'000;
  row.pressed(1, 400'000);
  row.flow(6, 9'000 * kMm3_nmm3);
  row.pressed(299, 0);
  row.now.at_work = false;
  row.call();
  row.begin_to_work();
  row.pressed(299, 0);
  EXPECT_EQ(row.alarms.raised, 0u) << "299 ms before and 299 ms after are no 300 ms";
  row.pressed(1, 0);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_EMPTY_LINE));
}

TEST(RowAlarmsLimits, AWindowBeginsAnewBehindAHeadland) {
  Row row(1000);
  row.flow(6, 9'000 * kMm3_nmm3);
  row.flow(0, 900 * kMm3_nmm3);
  row.now.at_work = false;
  row.call();
  row.begin_to_work();
  row.flow(0, 3'999 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, 0u);
  row.flow(10, 6'001 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, 0u) << "10 pulses of 10";
}

TEST(RowAlarmsLimits, AWindowBeginsAnewBehindAnEmptyLine) {
  Row row(1000);
  row.now.set_pa = 400'000;
  row.pressed(1, 400'000);
  row.flow(6, 9'000 * kMm3_nmm3);
  row.pressed(1, 0);
  row.pressed(1, 400'000);
  row.flow(0, 3'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, 0u) << "6 pulses of 12 would be low";
  row.flow(10, 7'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, 0u) << "10 pulses of 10";
}

// Flow is judged from 1 s on, and an hour later still: the counter wraps after 71.6 min.
TEST(RowAlarmsLimits, FlowIsJudgedFromTheFirstSecondOn) {
  Row row(1000);
  row.ticks -= 1;
  row.flow(1, 100'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, 0u);
  row.ticks += 1;
  row.flow(1, 100'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_LOW_FLOW));
  for (int k = 0; k < 3; ++k) {
    row.ticks += 1'800'000'000;
    row.flow(10, 10'000 * kMm3_nmm3);
    EXPECT_EQ(row.alarms.raised, 0u) << k;
    row.flow(1, 10'000 * kMm3_nmm3);
    EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_LOW_FLOW)) << k;
  }
}

// 100 pulses of 100 mm3 in a window of 10 000 mm3.
TEST(RowAlarmsLimits, SevenTenthsAreMetToAHundredth) {
  const std::pair<std::uint32_t, std::uint32_t> cases[] = {
      {69, SILLION_ALARM_LOW_FLOW}, {70, 0}, {130, 0}, {131, SILLION_ALARM_HIGH_FLOW}};
  for (const auto& [pulses, alarm] : cases) {
    Row row(100);
    row.flow(pulses, 10'000 * kMm3_nmm3);
    EXPECT_EQ(row.alarms.raised, alarm) << pulses;
  }
}

TEST(RowAlarmsLimits, NoFlowStandsUntilThePulseThatEndsIt) {
  Row row(1000);
  row.flow(0, 4000 * kMm3_nmm3);
  ASSERT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_FLOW));
  row.now.at_work = false;
  row.call();
  row.begin_to_work();
  row.flow(0, 1);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_FLOW))
      << "a headland shows nothing";
  row.flow(1, 0);
  EXPECT_EQ(row.alarms.raised, 0u);
}

TEST(RowAlarmsLimits, ALineStaysEmptyForLongerThanItsCount) {
  Row row(0);
  row.now.set_pa = 400'000;
  row.pressed(70'000, 0);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_EMPTY_LINE));
  EXPECT_EQ(row.events.size(), 1u);
}

// Worn above 10 %, over below 8 %; 9 % of 65 536 are 5898.
TEST(RowAlarmsLimits, WornIsHeldBetweenItsTwoLimits) {
  Row row(1000);
  row.now.place_pm = 60 * kSpacing_pm;
  row.call();
  ASSERT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS));
  const std::pair<std::int32_t, bool> cases[] = {{5898, false}, {6553, false}, {6554, true},
                                                 {5898, true},  {5243, true},  {5242, false},
                                                 {5898, false}};
  for (const auto& [rise_q16, worn] : cases) {
    row.now.rise_q16 = rise_q16;
    row.call();
    EXPECT_EQ((row.alarms.raised & SILLION_ALARM_WORN) != 0, worn) << rise_q16;
  }
}

TEST(RowAlarmsLimits, ASlowValveIsToldAtWorkOrNot) {
  Row row(0);
  row.now.at_work = false;
  row.call();
  row.now.slow_valve = true;
  row.call();
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_SLOW_VALVE));
  row.now.slow_valve = false;
  row.call();
  EXPECT_EQ(row.alarms.raised, 0u);
}

TEST(RowAlarmsLimits, ARowThatIsNotAtWorkMissesNothing) {
  Row row(1000);
  row.now.at_work = false;
  row.now.place_pm = 100 * kSpacing_pm;
  row.flow(0, 100'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, 0u);
  Row first(1000);
  first.alarms = {};
  first.now.place_pm = 100 * kSpacing_pm;
  first.flow(0, 100'000 * kMm3_nmm3);
  EXPECT_EQ(first.alarms.raised, 0u) << "its first call only begins";
}

TEST(RowAlarmsLimits, BehindAHeadlandASecondAndSixtySpacingsAreWaitedForAgain) {
  Row row(1000);
  row.now.seeds = 1;
  row.call();
  row.now.at_work = false;
  row.call();
  row.ticks += 5'000'000;
  row.now.at_work = true;
  row.flow(0, 100'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, 0u) << "the first call";
  row.ticks += 999'999;
  row.flow(0, 100'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, 0u) << "the first second";
  row.now.place_pm = 60 * kSpacing_pm - 1;
  row.call();
  EXPECT_EQ(row.alarms.raised, 0u);
  row.now.place_pm = 60 * kSpacing_pm;
  row.call();
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS));
}

TEST(RowAlarmsLimits, WhileTheLineIsEmptyNoFlowIsJudged) {
  Row row(1000);
  row.now.set_pa = 400'000;
  row.pressed(299, 0);
  row.flow(0, 100'000 * kMm3_nmm3);
  row.flow(0, 100'000 * kMm3_nmm3);
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_EMPTY_LINE));
}

// A headland shows nothing, also nothing of a sensor.
TEST(RowAlarmsLimits, OnlyAnEdgeAtWorkEndsNoSeeds) {
  Row row(0);
  row.now.place_pm = 60 * kSpacing_pm;
  row.call();
  ASSERT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS));
  row.now.at_work = false;
  row.now.seeds = 1;
  row.call();
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS));
  row.begin_to_work();
  EXPECT_EQ(row.alarms.raised, static_cast<std::uint32_t>(SILLION_ALARM_NO_SEEDS));
  row.now.seeds = 2;
  row.call();
  EXPECT_EQ(row.alarms.raised, 0u);
}

}  // namespace
