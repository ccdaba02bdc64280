// The row's flow loop in whole windows whose results are worked by hand from the laws at the top of
// controller/rate_loop.h.
#include <gtest/gtest.h>

#include "controller/rate_loop.h"
#include "tests/controller/fake_hardware.h"

namespace {

using controller::kMostTrimQ16;
using controller::rate_loop_for;
using controller::RateLoop;

/// A meter that has given the pulse with which a window begins.
struct Meter {
  explicit Meter(std::uint32_t mm3_per_pulse, bool trims = false) {
    sillion_config config = test::row_config();
    config.meter_mm3_per_pulse = mm3_per_pulse;
    config.attachment.lift_settable = trims ? 1 : 0;
    loop = rate_loop_for(config);
    pass(1, 0, 0);
  }
  void pass(std::uint32_t pulses, std::int64_t band_us, std::int32_t should_be_mm3ps) {
    count += pulses;
    follow_meter(loop, count, band_us, should_be_mm3ps, may_rise, may_fall);
  }
  /// A window of 1 s of band time.
  void window(std::uint32_t pulses, std::int32_t should_be_mm3ps) {
    pass(pulses, 1'000'000, should_be_mm3ps);
  }

  RateLoop loop;
  std::uint32_t count = 0;
  bool may_rise = true;
  bool may_fall = true;
};

TEST(RateLoopLimits, FlowIsPulsesTimesVolumeOverBandTime) {
  Meter meter(7);
  meter.window(1000, 7000);
  EXPECT_TRUE(meter.loop.flow_valid);
  EXPECT_EQ(meter.loop.flow_mm3ps, 7000);
  EXPECT_EQ(meter.loop.expected_mm3ps, 7000);
  meter.window(1001, 7007);
  EXPECT_EQ(meter.loop.flow_mm3ps, 7007) << "of this window alone";
  EXPECT_EQ(meter.loop.expected_mm3ps, 7007);
  EXPECT_EQ(meter.loop.rise_q16, 0);
  Meter large(1000);
  large.window(1000, 1'000'000);
  EXPECT_EQ(large.loop.flow_mm3ps, 1'000'000);
}

// 499 999 us at 1001 mm3/s and 500 001 us at 1000 mm3/s are 1000.499999 mm3/s in the mean.
TEST(RateLoopLimits, TheExpectedFlowIsTheMeanToTheNearest) {
  for (int window = 0; window < 2; ++window) {
    Meter meter(1);
    if (window == 1) meter.window(1000, 1000);
    meter.pass(0, 499'999, 1001);
    meter.pass(1000, 500'001, 1000);
    EXPECT_EQ(meter.loop.expected_mm3ps, 1000);
    meter.pass(0, 500'000, 1001);
    meter.pass(1000, 500'000, 1000);
    EXPECT_EQ(meter.loop.expected_mm3ps, 1001) << "a half goes away from zero";
  }
}

TEST(RateLoopLimits, AWindowEndsWithAPulseAndNotBeforeASecond) {
  Meter meter(200);
  meter.pass(1, 999'999, 200);
  EXPECT_FALSE(meter.loop.flow_valid);
  meter.pass(0, 1, 200);
  EXPECT_FALSE(meter.loop.flow_valid) << "no pulse ends it";
  meter.pass(1, 0, 200);
  EXPECT_TRUE(meter.loop.flow_valid);
  EXPECT_EQ(meter.loop.flow_mm3ps, 400);
}

TEST(RateLoopLimits, AWindowBeginsWithAPulse) {
  sillion_config config = test::row_config();
  config.meter_mm3_per_pulse = 200;
  RateLoop loop = rate_loop_for(config);
  follow_meter(loop, 0, 400'000, 400, true, true);
  follow_meter(loop, 1, 100'000, 400, true, true);
  follow_meter(loop, 2, 999'999, 400, true, true);
  EXPECT_FALSE(loop.flow_valid);
  follow_meter(loop, 3, 1, 400, true, true);
  EXPECT_TRUE(loop.flow_valid);
  EXPECT_EQ(loop.flow_mm3ps, 400) << "two pulses behind the one that began it";
}

// The count is free-running and begins at 0: a meter that stands still has given none.
TEST(RateLoopLimits, AMeterWithoutAPulseIsToldAfterTenSeconds) {
  sillion_config config = test::row_config();
  config.meter_mm3_per_pulse = 200;
  RateLoop loop = rate_loop_for(config);
  follow_meter(loop, 0, 9'999'999, 16'000, true, true);
  EXPECT_FALSE(loop.flow_valid);
  follow_meter(loop, 0, 1, 16'000, true, true);
  EXPECT_TRUE(loop.flow_valid);
  EXPECT_EQ(loop.flow_mm3ps, 0);
  EXPECT_EQ(loop.expected_mm3ps, 16'000);
  EXPECT_EQ(loop.trim_q16, 0);
  EXPECT_EQ(loop.rise_q16, 0) << "broken, not worn";
}

TEST(RateLoopLimits, ALeapOfTheCountBeginsANewWindow) {
  Meter meter(1);
  meter.window(10'000, 10'000);
  EXPECT_EQ(meter.loop.flow_mm3ps, 10'000) << "10 000 pulses are no leap";
  meter.window(10'001, 10'000);
  EXPECT_EQ(meter.loop.flow_mm3ps, 10'000) << "10 001 are";
  meter.pass(5, 1'000'000, 500);
  EXPECT_EQ(meter.loop.flow_mm3ps, 10'000) << "this pulse begins a window";
  meter.window(500, 500);
  EXPECT_EQ(meter.loop.flow_mm3ps, 500);
}

// 17 600 of 16 000 mm3/s are a rise of 0.1, 6554/65536; a quarter of it is 1638 (of what is left,
// (6554 - 1638)/4, another 1229).
TEST(RateLoopLimits, TheRiseIsAMeanOverFourWindows) {
  Meter meter(200);
  meter.window(88, 16'000);
  EXPECT_EQ(meter.loop.rise_q16, 1638);
  meter.window(88, 16'000);
  EXPECT_EQ(meter.loop.rise_q16, 2867);
  EXPECT_EQ(meter.loop.trim_q16, 0) << "the pressure alone sets this flow";
}

// The same where the row trims. The step is -1600/16 000/4 = -1638.4/65536. The second window's
// rise is 1.1/(1 - 1638/65536) - 1 = 0.128198 = 8402/65536, of which (8402 - 1638)/4 = 1691 are
// added. Its trim: again -1638.
TEST(RateLoopLimits, TheTrimIsTakenOutOfTheRise) {
  Meter meter(200, true);
  meter.window(88, 16'000);
  EXPECT_EQ(meter.loop.rise_q16, 1638);
  EXPECT_EQ(meter.loop.trim_q16, -1638);
  meter.window(88, 16'000);
  EXPECT_EQ(meter.loop.rise_q16, 3329);
  EXPECT_EQ(meter.loop.trim_q16, -3276);
}

// 1 mm3/s of 1001 are 65536/4004 = 16.4 of 65536, of 1000 16.384.
TEST(RateLoopLimits, TheTrimRestsWhereTheTableEnds) {
  for (const bool free : {true, false}) {
    Meter too_little(1, true);
    too_little.may_rise = free;
    too_little.window(1000, 1001);
    EXPECT_EQ(too_little.loop.trim_q16, free ? 16 : 0);
    too_little.window(1001, 1001);
    EXPECT_EQ(too_little.loop.trim_q16, free ? 16 : 0) << "as wanted";
    Meter too_much(1, true);
    too_much.may_fall = free;
    too_much.window(1001, 1000);
    EXPECT_EQ(too_much.loop.trim_q16, free ? -16 : 0);
  }
}

TEST(RateLoopLimits, ATrimInTheOtherDirectionGoesOn) {
  Meter too_little(1, true);
  too_little.may_fall = false;
  too_little.window(1000, 1001);
  EXPECT_EQ(too_little.loop.trim_q16, 16);
  Meter too_much(1, true);
  too_much.may_rise = false;
  too_much.window(1001, 1000);
  EXPECT_EQ(too_much.loop.trim_q16, -16);
}

// Half is followed: 0.5/4 is 8192/65536. 1 mm3/s more is not.
TEST(RateLoopLimits, MoreThanHalfIsBroken) {
  for (const bool more : {false, true}) {
    Meter half(1, true);
    half.window(more ? 3000 : 1000, 2000);
    EXPECT_EQ(half.loop.trim_q16, more ? -8192 : 8192);
    EXPECT_EQ(half.loop.rise_q16, more ? 8192 : -8192);
    half.window(more ? 3000 : 1000, 2000);
    EXPECT_EQ(half.loop.trim_q16, more ? -kMostTrimQ16 : kMostTrimQ16);
    Meter broken(1, true);
    broken.window(more ? 3001 : 999, 2000);
    EXPECT_EQ(broken.loop.flow_mm3ps, more ? 3001 : 999);
    EXPECT_EQ(broken.loop.trim_q16, 0);
    EXPECT_EQ(broken.loop.rise_q16, 0);
  }
  EXPECT_EQ(kMostTrimQ16, 9830) << "15 % of 65 536";
}

TEST(RateLoopLimits, NothingExpectedTellsNothing) {
  Meter meter(1, true);
  meter.window(1000, 0);
  EXPECT_TRUE(meter.loop.flow_valid);
  EXPECT_EQ(meter.loop.expected_mm3ps, 0);
  EXPECT_EQ(meter.loop.trim_q16, 0);
  EXPECT_EQ(meter.loop.rise_q16, 0);
  Meter none(0, true);
  none.window(1000, 1000);
  EXPECT_FALSE(none.loop.flow_valid);
}

// The same before the first pulse: 4 999 999 us at 1001 and 5 000 001 us at 1000 mm3/s.
TEST(RateLoopLimits, TheMeanOfADeadMeterIsToTheNearest) {
  sillion_config config = test::row_config();
  config.meter_mm3_per_pulse = 200;
  RateLoop loop = rate_loop_for(config);
  follow_meter(loop, 0, 4'999'999, 1001, true, true);
  follow_meter(loop, 0, 5'000'001, 1000, true, true);
  EXPECT_EQ(loop.expected_mm3ps, 1000);
}

TEST(RateLoopLimits, ALeapBeginsTheWaitForAPulseAnew) {
  Meter meter(200);
  meter.pass(0, 5'000'000, 16'000);
  meter.pass(10'001, 0, 16'000);
  meter.pass(0, 9'999'999, 16'000);
  EXPECT_FALSE(meter.loop.flow_valid);
  meter.pass(0, 1, 16'000);
  EXPECT_TRUE(meter.loop.flow_valid);
}

// 160 017/327 680 are 32 003.4/65 536, a quarter of 32 003 is 8000; 800 049/1 638 400/4 are
// 8000.49/65 536.
TEST(RateLoopLimits, LargeDifferencesAreExactToTheirLastPlace) {
  Meter rise(487'697);
  rise.window(1, 327'680);
  EXPECT_EQ(rise.loop.rise_q16, 8000);
  Meter trim(838'351, true);
  trim.window(1, 1'638'400);
  EXPECT_EQ(trim.loop.trim_q16, 8000);
}

}  // namespace
