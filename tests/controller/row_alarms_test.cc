#include "controller/row_alarms.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <vector>

#include "controller/machine_controller.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::AlarmInputs;
using controller::Report;
using controller::RowAlarms;

/// A row at 16 km/h over 150 mm: a seed every 33.75 ms, 75 mm of band in 16.875 ms of it. The rate
/// of 4677 nm is 15 840 mm3/s in the band (4.677e-6 m x 0.762 m x 4.444 m/s), 267 mm3 per band.
class Row {
 public:
  explicit Row(std::uint32_t mm3_per_pulse) : config_(test::row_config()) {
    config_.meter_mm3_per_pulse = mm3_per_pulse;
    config_.row = 3;
  }
  /// Runs `seeds` seeds; the meter counts this share of what should pass.
  void run(int seeds, double meter_ratio, bool edges = true, bool at_work = true) {
    for (int tick = 0; tick < seeds * 135 / 4; ++tick) {  // of 1 ms
      ++ticks_;
      phase_ms_ += 1.0;
      const bool band = phase_ms_ < 16.875;
      if (phase_ms_ >= 33.75) {
        phase_ms_ -= 33.75;
        if (edges) ++seeds_;
      }
      metered_mm3_ += band ? 15.84 * meter_ratio : 0.0;
      sillion_output out{};
      sillion_health health{};
      Report report{out, health, 1'000u * ticks_};
      const std::uint32_t pulse_mm3 = std::max<std::uint32_t>(1, config_.meter_mm3_per_pulse);
      judge_alarms(alarms_, config_,
                   {.at_work = at_work,
                    .place_pm = std::int64_t{ticks_} * 4444 * 1'000'000,
                    .seeds = seeds_,
                    .band_us = band ? 1000 : 0,
                    .should_be_mm3ps = 15'840,
                    .meter_pulses = static_cast<std::uint32_t>(metered_mm3_ / pulse_mm3),
                    .pressure_pa = pressure_pa,
                    .set_pa = set_pa,
                    .speed_umps = 4'444'444,
                    .rise_q16 = rise_q16},
                   report);
      for (std::uint32_t k = 0; k < out.event_count; ++k) events_.push_back(out.events[k]);
    }
  }
  std::uint32_t raised() const { return alarms_.raised; }
  const std::vector<sillion_event_record>& events() const { return events_; }
  double last_event_ms() const { return events_.back().at_ticks * 1e-3; }
  double now_ms() const { return ticks_; }
  /// Whether exactly this came last, and nothing after event number `before`.
  bool only(std::size_t before, std::uint32_t code, std::int32_t alarm) const {
    return events_.size() == before + 1 && events_.back().code == code && events_.back().a == alarm;
  }

  std::int32_t pressure_pa = 0;
  std::int32_t set_pa = 0;
  std::int32_t rise_q16 = 0;

 private:
  sillion_config config_;
  RowAlarms alarms_;
  std::uint32_t ticks_ = 0;
  std::uint32_t seeds_ = 0;
  double phase_ms_ = 0.0;
  double metered_mm3_ = 0.0;
  std::vector<sillion_event_record> events_;
};

TEST(RowAlarms, ARowInOrderRaisesNone) {
  for (const std::uint32_t mm3_per_pulse : {0u, 50u, 200u, 500u}) {
    Row row(mm3_per_pulse);
    row.run(400, 1.0);
    EXPECT_TRUE(row.events().empty()) << mm3_per_pulse;
  }
}

// 20 spacings of 150 mm are 3 m: 675 ms at 16 km/h.
TEST(RowAlarms, ASensorThatSeesNothingIsToldAfterTwentySpacings) {
  Row row(0);
  row.run(50, 1.0);
  const double last_edge_ms = row.now_ms();
  row.run(40, 1.0, false);
  ASSERT_EQ(row.events().size(), 1u);
  EXPECT_EQ(row.events()[0].code, std::uint32_t{SILLION_EVENT_ALARM});
  EXPECT_EQ(row.events()[0].a, SILLION_ALARM_NO_SEEDS);
  EXPECT_EQ(row.events()[0].b, 3);
  EXPECT_NEAR(row.last_event_ms() - last_edge_ms, 675.0, 35.0);
  row.run(2, 1.0);
  EXPECT_EQ(row.events().back().code, std::uint32_t{SILLION_EVENT_ALARM_OVER});
  EXPECT_EQ(row.raised(), 0u);
}

// Before the first seed of a stretch of work the meter has to fill: 60 spacings.
TEST(RowAlarms, TheFirstSeedMayBeLate) {
  Row row(0);
  row.run(58, 1.0, false);
  EXPECT_TRUE(row.events().empty());
  row.run(4, 1.0, false);
  ASSERT_EQ(row.events().size(), 1u);
  EXPECT_EQ(row.events()[0].a, SILLION_ALARM_NO_SEEDS);
}

TEST(RowAlarms, NoFlowWithinTwentySeeds) {
  for (const std::uint32_t mm3_per_pulse : {50u, 200u}) {
    Row row(mm3_per_pulse);
    row.run(60, 1.0);
    const double from_ms = row.now_ms();
    row.run(20, 0.0);
    ASSERT_FALSE(row.events().empty()) << mm3_per_pulse;
    EXPECT_EQ(row.events()[0].a, SILLION_ALARM_NO_FLOW);
    EXPECT_LE(row.events()[0].at_ticks * 1e-3 - from_ms, 20 * 33.75);
    row.run(40, 1.0);
    EXPECT_EQ(row.raised(), 0u) << "it flows again";
  }
}

TEST(RowAlarms, APartialPlugAndALeakWithinTwentySeeds) {
  Row plugged(50);
  plugged.run(64, 1.0);
  plugged.run(20, 0.5);
  ASSERT_FALSE(plugged.events().empty());
  EXPECT_EQ(plugged.events()[0].a, SILLION_ALARM_LOW_FLOW);
  Row leaking(50);
  leaking.run(64, 1.0);
  leaking.run(20, 1.6);
  ASSERT_FALSE(leaking.events().empty());
  EXPECT_EQ(leaking.events()[0].a, SILLION_ALARM_HIGH_FLOW);
  // A tenth either way is not for an alarm: the rate loop trims it.
  Row fair(50);
  fair.run(64, 1.0);
  fair.run(200, 0.9);
  fair.run(200, 1.1);
  EXPECT_TRUE(fair.events().empty());
}

TEST(RowAlarms, ARowThatIsNotAtWorkIsNotJudged) {
  Row row(50);
  row.run(60, 1.0);
  row.run(200, 0.0, false, false);
  EXPECT_TRUE(row.events().empty());
  row.run(20, 1.0);
  EXPECT_TRUE(row.events().empty()) << "the way while it was lifted does not count";
}

// A quarter of 200 kPa are 50 kPa: below it for 300 ms the line is empty, at it again it is not. No
// flow that the meter misses meanwhile is said besides.
TEST(RowAlarms, AnEmptyLineIsToldAfterThreeTenthsOfASecond) {
  Row row(50);
  row.set_pa = 200'000;
  row.pressure_pa = 50'000;
  row.run(60, 1.0);
  row.pressure_pa = 49'999;
  row.run(8, 1.0);  // 270 ms
  row.pressure_pa = 50'000;
  row.run(1, 1.0);
  EXPECT_TRUE(row.events().empty());
  row.pressure_pa = 49'999;
  const double from_ms = row.now_ms();
  row.run(40, 0.0);
  ASSERT_TRUE(row.only(0, SILLION_EVENT_ALARM, SILLION_ALARM_EMPTY_LINE));
  EXPECT_NEAR(row.last_event_ms() - from_ms, 300.0, 1.0);
  row.pressure_pa = 50'000;
  row.run(5, 1.0);
  EXPECT_TRUE(row.only(1, SILLION_EVENT_ALARM_OVER, SILLION_ALARM_EMPTY_LINE));
  EXPECT_EQ(row.raised(), 0u);
}

// The plug is told before the line runs empty: the cause takes its place.
TEST(RowAlarms, AnEmptyLineTakesThePlaceOfNoFlow) {
  Row row(50);
  row.set_pa = 200'000;
  row.pressure_pa = 200'000;
  row.run(60, 1.0);
  row.run(20, 0.0);
  EXPECT_NE(row.raised() & SILLION_ALARM_NO_FLOW, 0u);
  row.pressure_pa = 0;
  row.run(20, 0.0);
  EXPECT_EQ(row.raised(), std::uint32_t{SILLION_ALARM_EMPTY_LINE});
}

// Told above 10 % (6554/65536 is the first share above), kept above 8 % (5242 is the last at or
// below), over then. The rate that can still be laid is said once, with the alarm.
TEST(RowAlarms, WearIsToldAboveTenPercentAndOverBelowEight) {
  Row row(50);
  row.rise_q16 = 6553;
  row.run(60, 1.0);
  EXPECT_TRUE(row.events().empty());
  row.rise_q16 = 6554;
  row.run(5, 1.0);
  ASSERT_EQ(row.events().size(), 2u);
  EXPECT_EQ(row.events()[0].code, std::uint32_t{SILLION_EVENT_LOWEST_RATE});
  EXPECT_TRUE(row.only(1, SILLION_EVENT_ALARM, SILLION_ALARM_WORN));
  row.rise_q16 = 5243;
  row.run(5, 1.0);
  EXPECT_EQ(row.events().size(), 2u);
  row.rise_q16 = 5242;
  row.run(5, 1.0);
  EXPECT_TRUE(row.only(2, SILLION_EVENT_ALARM_OVER, SILLION_ALARM_WORN));
}

// The row's report carries its alarms; the machine says each change once, with the row.
TEST(RowAlarms, ReachTheMachine) {
  controller::MachineController machine =
      controller::machine_controller_for(test::machine_config(), nullptr, 0, 0);
  std::vector<sillion_event_record> events;
  std::uint16_t sequence = 0;
  const auto hear = [&](std::uint32_t alarms, std::uint16_t behind = 0) {
    controller::RowReportFrame row;
    if (behind == 0) ++sequence;
    row.sequence = static_cast<std::uint16_t>(sequence - behind);
    row.row = 5;
    row.alarms = static_cast<std::uint16_t>(alarms);
    sillion_input in{};
    in.frame_count = 1;
    in.frames[0] = controller::encode(row);
    sillion_output out{};
    sillion_health health{};
    Report report{out, health, 1000};
    controller::step(machine, in, report);
    for (std::uint32_t k = 0; k < out.event_count; ++k)
      if (out.events[k].code >= SILLION_EVENT_ALARM) events.push_back(out.events[k]);
  };
  hear(0);
  hear(SILLION_ALARM_NO_FLOW);
  hear(SILLION_ALARM_NO_FLOW);
  hear(SILLION_ALARM_NO_FLOW | SILLION_ALARM_NO_SEEDS);
  hear(0, 3);  // an overtaken report says nothing new
  hear(0);
  ASSERT_EQ(events.size(), 3u);
  EXPECT_EQ(events[0].a, SILLION_ALARM_NO_FLOW);
  EXPECT_EQ(events[0].b, 5);
  EXPECT_EQ(events[1].a, SILLION_ALARM_NO_SEEDS);
  EXPECT_EQ(events[2].code, std::uint32_t{SILLION_EVENT_ALARM_OVER});
  EXPECT_EQ(events[2].a, SILLION_ALARM_NO_FLOW | SILLION_ALARM_NO_SEEDS);
}

}  // namespace
