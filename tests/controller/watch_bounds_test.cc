// The watch over the pressure at its limits. It gets samples that are whole kilopascals, so that
// every mean and every limit is a whole number.
#include <gtest/gtest.h>

#include "controller/pressure_watch.h"
#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

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

// Without a full scale nothing is watched; the least one is watched.
TEST(PressureWatchBounds, AFullScaleIsAboveZero) {
  for (const std::int32_t full_pa : {-1, 0, 1}) {
    Watch watch;
    Report report{watch.out, watch.health, 5000};
    watch_pressure(watch.watch, 300'000, 1023, full_pa, report);
    EXPECT_EQ(watch.watch.measured_pa, full_pa == 1 ? 1 : -1);
  }
}

// A regulator on its way lies between the set point and the slow one, whichever is the higher: at
// 300 kPa on the way from 100 to 500 kPa or back nothing departs. Beyond the higher, 500 kPa, a
// twelfth of that counts: 46 666 Pa; below the lower too.
TEST(PressureWatchBounds, BetweenSetPointAndSlowIsOnTheWay) {
  for (const bool up : {true, false}) {
    const auto departs = [&](std::int32_t measured_pa) {
      Watch watch;
      watch.watch.slow_pa = up ? 100'000 : 500'000;
      watch.watch.measured_pa = measured_pa;
      watch.sample(up ? 500'000 : 100'000, measured_pa / 1000);
      return watch.watch.count_ms > 0;
    };
    EXPECT_FALSE(departs(300'000)) << up;
    EXPECT_FALSE(departs(500'000)) << up;
    EXPECT_FALSE(departs(100'000)) << up;
    EXPECT_FALSE(departs(540'000)) << up;
    EXPECT_TRUE(departs(552'000)) << up;
    EXPECT_FALSE(departs(60'000)) << up;
    EXPECT_TRUE(departs(48'000)) << up;
  }
}

// While it departs, both what was measured and what was set widen, either way.
TEST(PressureWatchBounds, WhatWasSeenWidensEitherWay) {
  Watch watch{.watch = Watch::still()};
  watch.watch.count_ms = 100;
  watch.sample(250'000, 500);  // (300 + 500)/2
  EXPECT_EQ(watch.watch.measured.low_pa, 300'000);
  EXPECT_EQ(watch.watch.measured.high_pa, 400'000);
  EXPECT_EQ(watch.watch.set.low_pa, 250'000);
  EXPECT_EQ(watch.watch.set.high_pa, 300'000);
  watch.sample(350'000, 0);  // 200
  EXPECT_EQ(watch.watch.measured.low_pa, 200'000);
  EXPECT_EQ(watch.watch.measured.high_pa, 400'000);
  EXPECT_EQ(watch.watch.set.low_pa, 250'000);
  EXPECT_EQ(watch.watch.set.high_pa, 350'000);
}

// Once it was above, it stays above while the count lasts. At the limit itself it is not.
TEST(PressureWatchBounds, AboveStaysAbove) {
  Watch watch{.watch = Watch::still()};
  watch.watch.count_ms = 100;
  watch.watch.above = true;
  watch.sample(300'000, 0);  // 150 kPa: departs, below
  EXPECT_EQ(watch.watch.count_ms, 110);
  EXPECT_TRUE(watch.watch.above);
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

// The alarm comes once, is the machine's (b is 255), and goes when the count is back at 0. Between
// 5 ms and 0 it lasts.
TEST(PressureWatchBounds, TheAlarmComesAndGoesOnce) {
  Watch watch;
  watch.watch.measured_pa = 600'000;
  watch.watch.slow_pa = 300'000;
  watch.watch.measured = {300'000, 600'000};
  watch.watch.set = {300'000, 300'000};
  watch.watch.count_ms = 490;
  watch.sample(300'000, 600);
  ASSERT_EQ(watch.event(), std::uint32_t{SILLION_EVENT_ALARM});
  EXPECT_EQ(watch.out.events[0].a, SILLION_ALARM_SECOND_REGULATOR);
  EXPECT_EQ(watch.out.events[0].b, 255);
  watch.sample(300'000, 600);
  EXPECT_EQ(watch.out.event_count, 0u);
  watch.watch.count_ms = 10;
  watch.watch.measured_pa = watch.watch.slow_pa = 300'000;
  watch.sample(300'000, 300);
  EXPECT_EQ(watch.watch.count_ms, 5);
  EXPECT_EQ(watch.out.event_count, 0u);
  EXPECT_TRUE(watch.watch.second);
  watch.sample(300'000, 300);
  ASSERT_EQ(watch.event(), std::uint32_t{SILLION_EVENT_ALARM_OVER});
  EXPECT_EQ(watch.out.events[0].a, SILLION_ALARM_SECOND_REGULATOR);
  EXPECT_EQ(watch.out.events[0].b, 255);
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

// The mean of two samples at the largest scale is that scale: their sum is beyond 32 bits, and -1
// would read as nothing measured.
TEST(PressureWatchBounds, TheLargestScaleDoesNotWrap) {
  constexpr std::int32_t kMost_pa = 2'147'483'647;
  controller::PressureWatch watch;
  sillion_output out{};
  sillion_health health{};
  controller::Report report{out, health, 5000};
  for (int k = 0; k < 3; ++k) {
    controller::watch_pressure(watch, 300'000, 1023, kMost_pa, report);
    EXPECT_EQ(watch.measured_pa, kMost_pa);
  }
}

}  // namespace
