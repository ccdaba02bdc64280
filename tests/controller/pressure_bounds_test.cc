// The pressure's loop and its watch at their limits. The watch gets samples that are whole
// kilopascals, so that every mean and every limit is a whole number.
#include <gtest/gtest.h>

#include "controller/pressure_loop.h"
#include "controller/pressure_watch.h"
#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

struct Loop {
  sillion_config config = test::machine_config();
  PressureLoop loop;
  sillion_output out{};
  sillion_health health{};
  bool anew = false;

  bool hear(std::uint16_t number, std::int32_t flow_mm3ps = 1000, std::int32_t wanted_mm3ps = 1000,
            std::uint8_t state = kFlowValid) {
    RowReportFrame said{.sequence = number,
                        .row = 2,
                        .state = state,
                        .flow_mm3ps = flow_mm3ps,
                        .wanted_mm3ps = wanted_mm3ps};
    return hear(encode(said));
  }
  bool hear(const sillion_frame& frame) {
    out = {};
    Report report{out, health, 5000};
    RowReportFrame heard;
    return take_row_report(loop, frame, config, heard, anew, report);
  }
  void drive(std::int32_t speed_umps, std::int32_t yaw_uradps = 0) {
    out = {};
    Report report{out, health, 5000};
    set_pressure(loop, config, speed_umps, yaw_uradps, report);
  }
  bool votes() const { return loop.votes[2].valid; }
};

// A row that differs by more than half has no vote: from half to one and a half it has one.
TEST(PressureLoopBounds, HalfAndOneAndAHalfStillVote) {
  struct Case {
    std::int32_t flow_mm3ps;
    std::int32_t wanted_mm3ps;
    bool votes;
  };
  std::uint16_t number = 0;
  Loop loop;
  for (const Case& one : {Case{499, 1000, false}, Case{500, 1000, true}, Case{1200, 1000, true},
                          Case{1500, 1000, true}, Case{1501, 1000, false}, Case{0, 0, false},
                          Case{1, 1, true}, Case{2, 1, false}}) {
    ASSERT_TRUE(loop.hear(++number, one.flow_mm3ps, one.wanted_mm3ps));
    EXPECT_EQ(loop.votes(), one.votes) << one.flow_mm3ps << " of " << one.wanted_mm3ps;
  }
  EXPECT_TRUE(loop.hear(++number));
  EXPECT_TRUE(loop.votes());
  EXPECT_TRUE(loop.hear(++number, 1000, 1000, kFlowValid | kSetsLift));
  EXPECT_FALSE(loop.votes());
  EXPECT_TRUE(loop.hear(++number, 1000, 1000, 0));
  EXPECT_FALSE(loop.votes());
}

// Four overtaken reports in a row are dropped, the fifth is taken as a start. One in sequence in
// between, and the count begins again.
TEST(PressureLoopBounds, TheFifthOvertakenReportInARowIsTaken) {
  Loop loop;
  ASSERT_TRUE(loop.hear(100));
  for (int k = 0; k < 4; ++k) EXPECT_FALSE(loop.hear(90));
  ASSERT_TRUE(loop.hear(101));
  EXPECT_FALSE(loop.anew);
  for (int k = 0; k < 4; ++k) EXPECT_FALSE(loop.hear(90)) << k;
  EXPECT_TRUE(loop.hear(90));
  EXPECT_TRUE(loop.anew);
  // It counts from there on, and the count of overtaken ones is back at 0.
  for (int k = 0; k < 4; ++k) EXPECT_FALSE(loop.hear(80)) << k;
  EXPECT_TRUE(loop.hear(91));
  EXPECT_FALSE(loop.anew);
}

// A repeated report is no start, however often it comes, and no bad frame to tell of: it is
// counted.
TEST(PressureLoopBounds, ARepeatedReportIsCountedAndNotTold) {
  Loop loop;
  ASSERT_TRUE(loop.hear(100));
  for (std::uint32_t k = 1; k <= 6; ++k) {
    EXPECT_FALSE(loop.hear(100));
    EXPECT_EQ(loop.health.bad_frames, k);
    EXPECT_EQ(loop.out.event_count, 0u);
  }
}

// A report of a row beyond the machine's, and one of the wrong length, are bad: counted and told.
TEST(PressureLoopBounds, ABadReportIsToldWithItsNumber) {
  for (const int way : {0, 1}) {
    Loop loop;
    RowReportFrame said{.sequence = 1, .row = 8};  // rows 0 to 7
    if (way == 1) said.row = 7;
    sillion_frame frame = encode(said);
    if (way == 1) frame.length = 15;
    EXPECT_FALSE(loop.hear(frame));
    EXPECT_EQ(loop.health.bad_frames, 1u);
    ASSERT_EQ(loop.out.event_count, 1u);
    EXPECT_EQ(loop.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_BAD_FRAME));
    EXPECT_EQ(static_cast<std::uint32_t>(loop.out.events[0].a), SILLION_FRAME_ROW_REPORT);
  }
}

// 64 rows of 5 m: the outermost is 157.5 m off the middle, 315 m/s faster at 2 rad/s. At 1 m/s that
// is 316 m/s; 1e-4 m times 5 m times that is 0.158 m3/s.
TEST(PressureLoopBounds, TheFastestRowOfATurnIsMeant) {
  for (const std::int32_t yaw_uradps : {2'000'000, -2'000'000}) {
    Loop loop;
    loop.config.rows = 64;
    loop.config.row_width_um = 5'000'000;
    loop.config.in_band_rate_nm = 100'000;
    loop.drive(1'000'000, yaw_uradps);
    EXPECT_EQ(loop.loop.wanted_mm3ps, 158'000'000);
  }
}

// 4677 nm x 0.762 m x 1.1 m/s = 3920.26 mm3/s lie below the table's 4000: the event says both in
// 0.1 mm3/s, and that only once.
TEST(PressureLoopBounds, AFlowBelowTheTableIsTold) {
  Loop loop;
  loop.drive(1'100'000);
  EXPECT_EQ(loop.loop.wanted_mm3ps, 3920);
  ASSERT_EQ(loop.out.event_count, 1u);
  EXPECT_EQ(loop.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_RATE_OUT_OF_RANGE));
  EXPECT_EQ(loop.out.events[0].a, 39'200);
  EXPECT_EQ(loop.out.events[0].b, 40'000);
  loop.drive(1'100'000);
  EXPECT_EQ(loop.out.event_count, 0u);
}

// 14 256 mm3/s want 254 kPa (pressure_loop_test.cc), and 140 kPa are allowed: there the table gives
// the root of 16 + 384 x 120/480 = 112 of 1e6: 10 583 mm3/s.
TEST(PressureLoopBounds, APressureBeyondTheMostIsToldWithWhatItGives) {
  Loop loop;
  loop.config.pressure_max_pa = 140'000;
  loop.drive(4'000'000);
  EXPECT_EQ(loop.loop.pressure_pa, 140'000);
  ASSERT_EQ(loop.out.event_count, 1u);
  EXPECT_NEAR(loop.out.events[0].a, 142'560, 10);
  EXPECT_NEAR(loop.out.events[0].b, 105'830, 10);
  EXPECT_EQ(loop.out.events[0].b % 10, 0);
}

/// 1 kPa per count.
struct Watch {
  static constexpr std::int32_t kFull_pa = 1'023'000;
  PressureWatch watch;
  sillion_output out{};
  sillion_health health{};

  void sample(std::int32_t set_pa, int counts_kpa) {
    out = {};
    Report report{out, health, 5000};
    watch_pressure(watch, set_pa, static_cast<std::uint16_t>(counts_kpa), kFull_pa, report);
  }
  /// Everything at 300 kPa, as after a long time.
  static PressureWatch still(std::int32_t measured_pa = 300'000) {
    PressureWatch watch;
    watch.measured_pa = measured_pa;
    watch.slow_pa = 300'000;
    watch.measured = {300'000, 300'000};
    watch.set = {300'000, 300'000};
    return watch;
  }
  std::uint32_t event() const { return out.event_count == 1 ? out.events[0].code : 0u; }
};

// The first sample stands for the past; then each counts half.
TEST(PressureWatchBounds, SamplesAreSmoothedByHalves) {
  Watch watch;
  watch.sample(300'000, 200);
  EXPECT_EQ(watch.watch.measured_pa, 200'000);
  EXPECT_EQ(watch.watch.slow_pa, 200'000);
  watch.sample(300'000, 260);
  EXPECT_EQ(watch.watch.measured_pa, 230'000);
  EXPECT_EQ(watch.watch.slow_pa, 201'000);  // a hundredth of the way: 1 s in samples of 10 ms
  watch.sample(300'000, 231);
  EXPECT_EQ(watch.watch.measured_pa, 230'500);
  Watch empty;
  empty.sample(300'000, 0);  // a measured 0 is a sample
  EXPECT_EQ(empty.watch.measured_pa, 0);
  empty.sample(300'000, 100);
  EXPECT_EQ(empty.watch.measured_pa, 50'000);
}

// 1/12 of 300 kPa and 5 kPa are 30 kPa: off by that is in order, by 1 Pa more it is not.
TEST(PressureWatchBounds, ATwelfthAndFiveKilopascals) {
  struct Case {
    std::int32_t before_pa;
    int sample_kpa;
    bool departs;
  };
  for (const Case& one : {Case{300'000, 360, false}, Case{300'002, 360, true},
                          Case{300'000, 240, false}, Case{299'998, 240, true}}) {
    Watch watch{.watch = Watch::still(one.before_pa)};
    watch.sample(300'000, one.sample_kpa);
    EXPECT_EQ(watch.watch.count_ms, one.departs ? 10 : 0) << one.before_pa;
    EXPECT_EQ(watch.watch.above, one.departs && one.sample_kpa == 360);
  }
}

// Half of that, 15 kPa, is following: what has been seen since begins there. Beyond, or while the
// count is above 0, it widens.
TEST(PressureWatchBounds, WhatFollowsBeginsAnew) {
  for (const std::int32_t before_pa : {300'000, 300'002}) {
    Watch watch{.watch = Watch::still(before_pa)};
    watch.watch.measured = {280'000, 290'000};
    watch.watch.set = {250'000, 310'000};
    watch.sample(300'000, 330);
    const bool follows = before_pa == 300'000;  // 315 000, or 1 Pa more
    EXPECT_EQ(watch.watch.measured.low_pa, follows ? 315'000 : 280'000);
    EXPECT_EQ(watch.watch.measured.high_pa, follows ? 315'000 : 315'001);
    EXPECT_EQ(watch.watch.set.low_pa, follows ? 300'000 : 250'000);
    EXPECT_EQ(watch.watch.set.high_pa, follows ? 300'000 : 310'000);
  }
  Watch counting{.watch = Watch::still()};
  counting.watch.count_ms = 10;
  counting.watch.measured = {280'000, 290'000};
  counting.sample(300'000, 300);
  EXPECT_EQ(counting.watch.measured.low_pa, 280'000);
  EXPECT_EQ(counting.watch.measured.high_pa, 300'000);
}

// 10 ms more for a sample that departs, up to 1 s; 5 ms less for one that does not, down to 0.
TEST(PressureWatchBounds, TheCountRisesByTenAndFallsByFive) {
  Watch watch{.watch = Watch::still(500'000)};
  for (int k = 1; k <= 102; ++k) {
    watch.sample(300'000, 500);
    EXPECT_EQ(watch.watch.count_ms, std::min(10 * k, 1000)) << k;
  }
  watch.watch.measured_pa = watch.watch.slow_pa = 300'000;
  for (int k = 1; k <= 201; ++k) {
    watch.sample(300'000, 300);
    EXPECT_EQ(watch.watch.count_ms, std::max(1000 - 5 * k, 0)) << k;
  }
}

// Nothing is said before 500 ms: the 50th sample that departs says it, once.
TEST(PressureWatchBounds, HalfASecondIsWaitedFor) {
  Watch watch{.watch = Watch::still(100'000)};
  for (int k = 1; k <= 60; ++k) {
    watch.sample(300'000, 100);
    EXPECT_EQ(watch.event(), k == 50 ? std::uint32_t{SILLION_EVENT_PRESSURE_ASTRAY} : 0u) << k;
    if (k != 50) continue;
    EXPECT_EQ(watch.out.events[0].a, 100'000);
    EXPECT_EQ(watch.out.events[0].b, 300'000);
  }
}

/// The judgement of a pressure that stands above its set point and has moved by `moved_pa` since
/// it last followed, while the set point has moved by `set_moved_pa`.
std::uint32_t judged(std::int32_t set_pa, std::int32_t moved_pa, std::int32_t set_moved_pa) {
  Watch watch;
  watch.watch.measured_pa = 600'000;
  watch.watch.slow_pa = set_pa;
  watch.watch.measured = {600'000 - moved_pa, 600'000};
  watch.watch.set = {set_pa - set_moved_pa, set_pa};
  watch.watch.count_ms = 490;
  watch.sample(set_pa, 600);
  return watch.event();
}

// By itself is more than twice what the set point did and 1/64 of it, or 2.5 kPa where that is
// more: 320 kPa/64 = 5 kPa; 128 kPa/64 = 2 kPa.
TEST(PressureWatchBounds, ByItselfIsMoreThanTwiceTheSetPoint) {
  constexpr std::uint32_t kAlarm = SILLION_EVENT_ALARM;
  constexpr std::uint32_t kAstray = SILLION_EVENT_PRESSURE_ASTRAY;
  EXPECT_EQ(judged(320'000, 5000, 0), kAstray);
  EXPECT_EQ(judged(320'000, 5001, 0), kAlarm);
  EXPECT_EQ(judged(320'000, 25'000, 10'000), kAstray);
  EXPECT_EQ(judged(320'000, 25'001, 10'000), kAlarm);
  EXPECT_EQ(judged(128'000, 2500, 0), kAstray);
  EXPECT_EQ(judged(128'000, 2501, 0), kAlarm);
}

// When the count is back at 0 nothing of the excursion stays: not that it was above, so that a
// pressure that falls by itself afterwards is no second regulator; and it is told anew.
TEST(PressureWatchBounds, WhatIsOverIsForgotten) {
  for (const bool second : {false, true}) {
    Watch watch{.watch = Watch::still()};
    watch.watch.count_ms = 5;
    watch.watch.above = watch.watch.astray = true;
    watch.watch.second = second;
    watch.sample(300'000, 300);
    EXPECT_EQ(watch.event(), second ? std::uint32_t{SILLION_EVENT_ALARM_OVER} : 0u);
    EXPECT_FALSE(watch.watch.above);
    EXPECT_FALSE(watch.watch.astray);
    EXPECT_FALSE(watch.watch.second);
    watch.sample(300'000, 300);
    EXPECT_EQ(watch.out.event_count, 0u);
    int astray = 0;
    for (int k = 0; k < 60; ++k) {
      watch.sample(300'000, 0);
      if (watch.out.event_count == 0) continue;
      EXPECT_EQ(watch.event(), std::uint32_t{SILLION_EVENT_PRESSURE_ASTRAY});
      ++astray;
    }
    EXPECT_EQ(astray, 1);
  }
}

}  // namespace
