// A row controller call by call: what one call does with its frames, edges and ticks, and what it
// answers. Times and numbers from shared/controller_abi.h, shared/row_frames.h and the top of
// controller/row_controller.h.
#include <gtest/gtest.h>

#include <vector>

#include "controller/row_controller.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::RowController;
using controller::RowReportFrame;

constexpr std::uint32_t kAtWork =
    SILLION_INPUT_LOWERED | SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN;
constexpr std::uint32_t kHold = SILLION_INPUT_LOWERED | SILLION_INPUT_ROW_ENABLED;
constexpr std::uint32_t kLifted = SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN;
constexpr std::int32_t k16kmph_umps = 4'444'444;

struct Row {
  explicit Row(const sillion_config& config, const std::vector<std::uint8_t>& storage = {})
      : row(controller::row_controller_for(config, storage.empty() ? nullptr : storage.data(),
                                           storage.size())) {}
  /// The instant of the next call, us since the start.
  void at(std::uint32_t us) { in.now_ticks = test::kStartTicks + us; }
  void give(sillion_frame frame, bool counted = true) {
    frame.received_ticks = in.now_ticks;
    in.frames[in.frame_count] = frame;
    if (counted) ++in.frame_count;
  }
  void give_speed(std::int32_t speed_umps = k16kmph_umps, bool counted = true) {
    controller::MotionFrame motion;
    motion.sequence = ++sequence;
    motion.valid_ms = 500;
    motion.speed_umps = speed_umps;
    give(encode(motion), counted);
  }
  void give_set_point(std::int32_t valid_ms, std::int32_t pressure_pa = 400'000) {
    controller::SetPointFrame sent;
    sent.sequence = ++sequence;
    sent.valid_ms = valid_ms;
    sent.rate_nm = 4677;
    sent.pressure_pa = pressure_pa;
    give(encode(sent));
  }
  void edge(std::uint32_t ago_us, bool counted = true) {
    in.edges[in.edge_count] = {in.now_ticks - ago_us, 1, {}};
    if (counted) ++in.edge_count;
  }
  const sillion_output& call(std::uint32_t why) {
    in.why = why;
    in.digital = digital;
    in.meter_pulses = meter_pulses;
    in.analog_counts[0] = pressure_counts;
    out = {};
    controller::Report report{out, health, in.now_ticks};
    step(row, in, report);
    events.insert(events.end(), out.events, out.events + out.event_count);
    const std::uint32_t now = in.now_ticks;
    in = {};
    in.now_ticks = now;
    return out;
  }
  const sillion_output& tick(std::uint32_t us) {
    at(us);
    return call(SILLION_WHY_TICK);
  }
  /// Ticks of 1 ms from `from_ms` to `until_ms`, with a speed every 100 ms from the first on.
  void run(std::uint32_t from_ms, std::uint32_t until_ms, std::int32_t speed_umps = k16kmph_umps) {
    for (std::uint32_t ms = from_ms; ms <= until_ms; ++ms) {
      at(ms * 1000);
      if ((ms - from_ms) % 100 == 0) give_speed(speed_umps);
      meter_pulses = static_cast<std::uint32_t>((ms - from_ms) * pulses_per_s / 1000);
      call(SILLION_WHY_TICK);
      if (out.frame_count > 0) reports_ms.push_back(ms);
    }
  }
  int count(std::uint32_t code) const {
    return static_cast<int>(std::count_if(events.begin(), events.end(),
                                          [&](const auto& event) { return event.code == code; }));
  }
  RowReportFrame report() const {
    RowReportFrame said;
    EXPECT_EQ(out.frame_count, 1u);
    EXPECT_TRUE(decode(out.frames[0], said));
    return said;
  }

  RowController row;
  sillion_input in{};
  sillion_output out{};
  sillion_health health{};
  std::vector<sillion_event_record> events;
  std::vector<std::uint32_t> reports_ms;
  std::uint32_t digital = kAtWork;
  std::uint32_t meter_pulses = 0;
  std::uint32_t pulses_per_s = 0;
  std::uint16_t pressure_counts = 0;
  std::uint16_t sequence = 0;
};

TEST(RowCalls, FramesAndEdgesBehindTheirCountAreNone) {
  Row row(test::row_config());
  row.at(1000);
  row.give_speed(k16kmph_umps, false);
  row.call(SILLION_WHY_FRAME);
  EXPECT_FALSE(row.row.motion.known);
  row.give_speed();
  row.give_speed(1'000'000, false);
  row.edge(0, false);
  row.call(SILLION_WHY_FRAME);
  EXPECT_EQ(row.row.motion.speed_umps, k16kmph_umps);
  EXPECT_EQ(row.row.seeds, 0u);
  row.edge(5000);
  row.edge(0, false);
  row.call(SILLION_WHY_EDGE);
  EXPECT_EQ(row.row.seeds, 1u);
}

TEST(RowCalls, ASetPointIsValidForItsTime) {
  Row row(test::row_config());
  row.at(1000);
  row.give_set_point(100);
  row.call(SILLION_WHY_FRAME);
  row.tick(101'000);
  EXPECT_TRUE(row.row.set_point.known);
  row.tick(101'001);
  EXPECT_FALSE(row.row.set_point.known);
}

TEST(RowCalls, NothingOfADamagedSetPointIsTaken) {
  Row row(test::row_config());
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
    Row row(config);
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
    Row row(test::row_config());
    row.at(1000);
    row.give_speed(speed_umps);
    row.call(SILLION_WHY_FRAME);
    EXPECT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), speed_umps > 50'000 ? 1 : 0)
        << "standing, no rate is wanted";
  }
  Row row(test::row_config());
  row.run(1, 2);
  EXPECT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), 0) << "15 840 mm3/s lie in the table";
}

TEST(RowCalls, EachEdgeOfACallBecomesASeedWithItsNumber) {
  Row row(test::row_config());
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
  Row row(test::row_config());
  row.at(20'000);
  row.give_speed();
  EXPECT_EQ(row.call(SILLION_WHY_FRAME).compare_count, 0u);
  row.at(20'500);
  row.edge(0);
  EXPECT_EQ(row.call(SILLION_WHY_EDGE).compare_count, 2u) << "opening and closing";
}

TEST(RowCalls, WithoutSeedsNothingIsArmedAndNothingCancelled) {
  Row row(test::row_config());
  row.at(1000);
  row.give_speed();
  EXPECT_EQ(row.call(SILLION_WHY_TICK).compare_count, 0u);
}

TEST(RowCalls, AStreamNeedsNoSeeds) {
  sillion_config config = test::row_config();
  config.continuous = 1;
  Row row(config);
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
    Row row(config);
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
      Row row(config);
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
  Row row(config);
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
  Row row(test::row_config());
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
      Row row(config);
      row.digital = holds ? kHold : kAtWork;
      row.run(1, 2100);
      EXPECT_EQ(row.row.alarms.raised,
                static_cast<std::uint32_t>(!holds && continuous == 0 ? SILLION_ALARM_NO_SEEDS : 0));
    }
  }
}

TEST(RowCalls, ARowThatRestsAsksForNoTickFor20Milliseconds) {
  for (const std::uint32_t digital : {kLifted, kHold}) {
    Row row(test::row_config());
    row.digital = digital;
    EXPECT_EQ(row.tick(1000).sleep_ticks, 20'000u);
    row.at(6000);
    EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 15'000u) << "until the same instant";
    row.at(20'999);
    EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 1u);
    row.at(21'000);
    EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 0u);
    EXPECT_EQ(row.tick(21'000).sleep_ticks, 20'000u);
    row.digital = kAtWork;
    row.at(22'000);
    EXPECT_EQ(row.call(SILLION_WHY_FRAME).sleep_ticks, 0u);
  }
  Row waits(test::row_config());
  EXPECT_EQ(waits.tick(1000).sleep_ticks, 0u) << "no speed, but at work";
}

TEST(RowCalls, ARowThatWritesDoesNotSleep) {
  Row busy(test::row_config());
  busy.digital = kLifted;
  busy.in.storage_busy = 1;
  EXPECT_EQ(busy.tick(1000).sleep_ticks, 0u);
  Row counts(test::row_config());
  counts.digital = kLifted;
  counts.row.cycles.there = true;
  counts.row.planner.openings = 5;
  counts.tick(1000);
  EXPECT_EQ(counts.out.storage_command, static_cast<std::uint32_t>(SILLION_STORAGE_ERASE));
  EXPECT_EQ(counts.out.sleep_ticks, 0u) << "the count of openings begins to be written";
  Row copies(test::row_config(), std::vector<std::uint8_t>(controller::kRowPages * 64, 0xff));
  copies.digital = kLifted;
  copies.tick(1000);
  EXPECT_EQ(copies.tick(2000).storage_command, static_cast<std::uint32_t>(SILLION_STORAGE_NONE));
  EXPECT_EQ(copies.out.sleep_ticks, 0u) << "the configuration's copies are not whole yet";
}

// The ms in which a cause came counts whole, that in which it went does not.
TEST(RowCalls, TimeInASafeStateIsCountedThroughASleep) {
  for (const int ending : {0, 1, 2}) {
    Row row(test::row_config());
    row.digital = kHold;
    row.at(1000);
    row.give_speed();
    row.call(SILLION_WHY_TICK);
    EXPECT_EQ(row.health.safe_closed_ms, 1u);
    row.at(8000);
    if (ending != 2) row.digital = kAtWork;
    row.call(ending == 0 ? SILLION_WHY_FRAME : SILLION_WHY_TICK);
    EXPECT_EQ(row.health.safe_closed_ms, ending == 1 ? 7u : 8u) << ending;
  }
  Row row(test::row_config());
  row.at(1000);
  row.give_speed();
  row.call(SILLION_WHY_TICK);
  EXPECT_EQ(row.health.safe_closed_ms, 0u);
  row.digital = kHold;
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
    Row row(config);
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
  Row row(config);
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
