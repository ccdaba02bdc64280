// The machine controller call by call: which frames of a call count, what goes out, and in which
// call; each period exactly at its end and one before.
#include <gtest/gtest.h>

#include <cstring>
#include <vector>

#include "controller/machine_controller.h"
#include "tests/controller/called_machine.h"
#include "tests/controller/pressed_machine.h"

namespace {

using namespace controller;

using Machine = test::CalledMachine;
using test::ground_speed;
using test::kCalledAt;

// Only the frames that the call counts are there; what stands behind them is old.
TEST(MachineBounds, FramesBehindTheCountAreNotTaken) {
  Machine machine;
  machine.add(ground_speed(4000));
  machine.in.frame_count = 0;
  machine.call(SILLION_WHY_FRAME);
  EXPECT_FALSE(machine.machine.estimate.known);
  machine.add({});
  machine.add(ground_speed(4000));
  machine.in.frame_count = 1;
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.out.frame_count, 0u);
  EXPECT_FALSE(machine.machine.estimate.known);
}

// A call holds eight frames (SILLION_FRAMES_MAX). A ninth would lie in the members behind them,
// which here look like one.
TEST(MachineBounds, ANinthFrameIsNone) {
  Machine machine;
  machine.in.frame_count = 9;
  sillion_frame ninth = ground_speed(4000);
  ninth.received_ticks = kCalledAt;
  std::memcpy(
      reinterpret_cast<unsigned char*>(&machine.in) + offsetof(sillion_input, frames_sent_ok),
      &ninth, sizeof ninth);
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.out.frame_count, 0u);
  EXPECT_FALSE(machine.machine.estimate.known);
  for (int k = 0; k < 7; ++k) machine.add({});
  machine.add(ground_speed(4000));  // the eighth is one
  machine.in.frame_count = 200;
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.motions(), 1);
}

// No ground speed has come: the course's speed stands in, 400 x 0.01 m/s, and goes on at once.
TEST(MachineBounds, TheSpeedOfTheCourseStandsIn) {
  Machine machine;
  sillion_frame course{};
  course.id = SILLION_BUS_COURSE_SPEED;
  course.length = 8;
  course.sender = 254;
  course.bytes[4] = 0x90;
  course.bytes[5] = 0x01;
  machine.add(course);
  machine.call(SILLION_WHY_FRAME);
  MotionFrame motion;
  ASSERT_EQ(machine.sent(&motion), 1);
  EXPECT_EQ(motion.speed_umps, 4'000'000);
}

// A speed frame that says "not available" is no news; neither does it take back what another frame
// of the call brought.
TEST(MachineBounds, OnlyANewSpeedIsPassedOn) {
  Machine machine;
  machine.add(ground_speed(0xffff));
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.motions(), 0);
  EXPECT_EQ(machine.health.bad_frames, 1u);
  machine.add(ground_speed(4000));
  machine.add(ground_speed(0xffff));
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.motions(), 1);
}

// The bus repeats the rate every second: only another one goes out at once, pressure and rows.
TEST(MachineBounds, OnlyAnotherRateGoesOutAtOnce) {
  Machine machine;
  machine.add(test::rate_frame(5000));
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.set_points(), 1);
  EXPECT_EQ(machine.out.pressure_setpoint_valid, 1u);
  machine.add(test::rate_frame(5000));
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.set_points(), 0);
  EXPECT_EQ(machine.out.pressure_setpoint_valid, 0u);
  machine.add(test::rate_frame(6000));
  machine.add(test::rate_frame(6000));
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.set_points(), 1);
}

// A rate of 0 is a rate: the rows get it at once and close.
TEST(MachineBounds, ARateOfZeroIsPassedOn) {
  Machine machine;
  machine.add(test::rate_frame(0));
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.health.bad_frames, 0u);
  SetPointFrame set_point;
  ASSERT_EQ(machine.sent(&set_point), 1);
  EXPECT_EQ(set_point.rate_nm, 0);
}

// The acceleration goes out in steps of 0.02 m/s2, to the nearest, at most 127 of them.
TEST(MachineBounds, TheRampIsRoundedToItsStep) {
  const auto steps = [](std::int32_t accel_umps2) {
    MotionFrame motion;
    motion.accel_umps2 = accel_umps2;
    return static_cast<std::int8_t>(encode(motion).bytes[7]);
  };
  for (const std::int32_t sign : {1, -1}) {
    EXPECT_EQ(steps(sign * 9'999), 0);
    EXPECT_EQ(steps(sign * 10'000), sign);
    EXPECT_EQ(steps(sign * 2'529'999), sign * 126);
    EXPECT_EQ(steps(sign * 2'530'000), sign * 127);
    EXPECT_EQ(steps(sign * 5'000'000), sign * 127);
  }
}

// MOTION byte by byte (row_frames.h): valid for 500 ms as in its example, the lowest eight inputs,
// and the ramp. 0.05 m/s every 100 ms are 0.5 m/s2 in steps of 0.02; the stated lag of 0.3 s adds
// 0.15 m/s to the last 5.45 m/s.
TEST(MachineBounds, MotionSaysInputsRampAndValidity) {
  Machine machine;
  for (std::uint32_t k = 0; k < 50; ++k) {
    const std::uint32_t at = kCalledAt + k * 100'000;
    machine.add(ground_speed(static_cast<std::uint16_t>(3000 + 50 * k)), at);
    machine.in.digital = 0xf00 | SILLION_INPUT_LOWERED | SILLION_INPUT_RUN | 0x80;
    machine.call(SILLION_WHY_FRAME, at);
  }
  MotionFrame motion;
  ASSERT_EQ(machine.sent(&motion), 1);
  EXPECT_EQ(motion.valid_ms, 500);
  EXPECT_EQ(motion.age_ms, 0);
  EXPECT_EQ(motion.work, SILLION_INPUT_LOWERED | SILLION_INPUT_RUN | 0x80);
  EXPECT_NEAR(motion.accel_umps2, 500'000, 20'000);
  EXPECT_NEAR(motion.speed_umps, 5'600'000, 20'000);
  EXPECT_EQ(machine.machine.estimate.lag_us, 300'000);
}

// A turn goes out as it is known.
TEST(MachineBounds, MotionSaysTheTurn) {
  Machine machine;
  machine.machine.estimate.yaw_uradps = 74'074;
  machine.add(ground_speed(4000));
  machine.call(SILLION_WHY_FRAME);
  MotionFrame motion;
  ASSERT_EQ(machine.sent(&motion), 1);
  EXPECT_EQ(motion.yaw_uradps, 74'074);
}

// A frame of another kind, as the machine's own, is not for it and no bad one.
TEST(MachineBounds, OtherFramesAreNotForIt) {
  Machine machine;
  machine.add(encode(MotionFrame{}));
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.health.bad_frames, 0u);
  EXPECT_EQ(machine.out.event_count, 0u);
}

// Without a speed the pressure that stands is kept; the very first is that of standing, 20 kPa,
// whatever speed was known before. A rate of 0 keeps the configuration's for the pressure.
TEST(MachineBounds, WithoutASpeedThePressureStands) {
  Machine machine;
  machine.machine.estimate.speed_umps = 4'000'000;
  machine.machine.rate.rate_nm = 0;
  machine.call(SILLION_WHY_TICK);
  EXPECT_EQ(machine.out.pressure_setpoint_pa, 20'000u);
  EXPECT_EQ(machine.machine.config.in_band_rate_nm, 4677);
  for (const std::int32_t stands_pa : {0, 1, 300'000}) {
    machine.machine.pressure.pressure_pa = stands_pa;
    machine.machine.ticks_done = 0;
    machine.call(SILLION_WHY_TICK);
    EXPECT_EQ(machine.out.pressure_setpoint_pa,
              static_cast<std::uint32_t>(stands_pa == 0 ? 20'000 : stands_pa));
  }
  machine.machine.rate.rate_nm = 1;
  machine.machine.ticks_done = 0;
  machine.call(SILLION_WHY_TICK);
  EXPECT_EQ(machine.machine.config.in_band_rate_nm, 1);
}

// After the third reset the numbers begin behind 3 x 1024, of both frames.
TEST(MachineBounds, NumbersBeginByTheResets) {
  for (const std::uint32_t resets : {0u, 3u}) {
    Machine machine(resets);
    machine.add(ground_speed(4000));
    machine.call(SILLION_WHY_FRAME | SILLION_WHY_TICK);
    MotionFrame motion;
    SetPointFrame set_point;
    ASSERT_EQ(machine.sent(&motion), 1);
    ASSERT_EQ(machine.sent(&set_point), 1);
    EXPECT_EQ(motion.sequence, 1024 * resets + 1);
    EXPECT_EQ(set_point.sequence, 1024 * resets + 1);
    EXPECT_EQ(set_point.valid_ms, 1000);
    EXPECT_EQ(set_point.machine_us, kCalledAt);
    EXPECT_EQ(set_point.rate_nm, machine.config.in_band_rate_nm);
  }
}

// Only the tick kicks, counts and sets the pressure.
TEST(MachineBounds, OnlyATickKicks) {
  Machine machine;
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.out.watchdog_kick, 0u);
  EXPECT_EQ(machine.out.pressure_setpoint_valid, 0u);
  EXPECT_EQ(machine.machine.ticks_done, 0u);
  machine.call(SILLION_WHY_TICK);
  EXPECT_EQ(machine.out.watchdog_kick, 1u);
  EXPECT_EQ(machine.out.pressure_setpoint_valid, 1u);
  EXPECT_EQ(machine.out.pressure_setpoint_pa, 20'000u);  // the table's lowest, as it stands
  EXPECT_EQ(machine.machine.ticks_done, 1u);
  for (int tick = 1; tick <= 200; ++tick) {
    machine.call(SILLION_WHY_TICK);
    EXPECT_EQ(machine.set_points(), tick % 100 == 0 ? 1 : 0) << tick;
  }
}

// MOTION is repeated when 100 ms have passed since the last one, not before.
TEST(MachineBounds, ASilenceOf100MillisecondsIsRepeatedInto) {
  Machine machine;
  machine.add(ground_speed(4000));
  machine.call(SILLION_WHY_FRAME);
  ASSERT_EQ(machine.motions(), 1);
  machine.call(SILLION_WHY_TICK, kCalledAt + 99'999);
  EXPECT_EQ(machine.motions(), 0);
  machine.call(SILLION_WHY_TICK, kCalledAt + 100'000);
  MotionFrame motion;
  EXPECT_EQ(machine.sent(&motion), 1);
  EXPECT_EQ(motion.age_ms, 100);
  machine.call(SILLION_WHY_TICK, kCalledAt + 199'999);
  EXPECT_EQ(machine.motions(), 0);
  machine.call(SILLION_WHY_TICK, kCalledAt + 200'000);
  EXPECT_EQ(machine.motions(), 1);
}

// The trim moves once per 1000 ticks, unless the pressure is astray. A row with 10/11 of its flow:
// the trim should be 1/10, 6554 of 65536, and goes an eighth of the way: 819.
TEST(MachineBounds, TheTrimMovesEveryThousandTicks) {
  Machine machine;
  RowVote& vote = machine.machine.pressure.votes[3];
  for (int tick = 0; tick <= 2000; ++tick) {
    vote.valid = true;
    vote.heard_ticks = kCalledAt;
    vote.flow_mm3ps = 10'000;
    vote.expected_mm3ps = 11'000;
    machine.machine.watch.count_ms = tick == 2000 ? 1 : 0;
    const std::int32_t before = machine.machine.pressure.trim_q16;
    machine.call(SILLION_WHY_TICK);
    EXPECT_EQ(machine.machine.pressure.trim_q16 != before, tick == 0 || tick == 1000) << tick;
    if (tick == 0) {
      EXPECT_NEAR(machine.machine.pressure.trim_q16, 819, 1);
    }
  }
}

// The watch gets a sample every ten ticks: the first stands for itself, the second counts half.
TEST(MachineBounds, TheWatchLooksEveryTenTicks) {
  Machine machine(0, nullptr, test::pressed_config());
  for (int tick = 0; tick < 20; ++tick) {
    machine.in.analog_counts[0] = tick == 0 ? 0 : 1023;
    machine.call(SILLION_WHY_TICK);
    EXPECT_EQ(machine.machine.watch.measured_pa, tick < 10 ? 0 : test::kFullScale_pa / 2) << tick;
  }
}

// While the speed is not known the machine stands. Half a metre to the left of its middle a right
// turn of 0.1 rad/s gives 50 mm/s, at which a row still stands: its band is that of the set rate,
// 4677 nm x 1 m x 75 mm = 350 mm3, and not of its flow over that speed.
TEST(MachineBounds, WithoutASpeedTheMachineStands) {
  sillion_config config = test::machine_config();
  config.rows = 2;
  config.row_width_um = 1'000'000;
  Machine machine(0, nullptr, config);
  machine.machine.estimate.yaw_uradps = 100'000;
  machine.machine.estimate.speed_umps = 4'000'000;  // of before
  RowReportFrame said;
  said.sequence = said.seeds = said.bands = 1;
  said.state = kFlowValid;
  said.flow_mm3ps = said.wanted_mm3ps = 10'000;
  machine.add(encode(said));
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.machine.totals.rows[0].bands, 1u);
  EXPECT_EQ(machine.machine.totals.rows[0].volume_ml, 0u);
  EXPECT_EQ(machine.machine.totals.rows[0].rest_mm3, 350);
  // At 4 m/s, and 50 mm/s more there: 10 000 mm3/s x 75 mm / 4.05 m/s = 185 mm3.
  machine.machine.estimate.known = true;
  said.sequence = said.seeds = said.bands = 2;
  machine.add(encode(said));
  machine.call(SILLION_WHY_FRAME);
  EXPECT_EQ(machine.machine.totals.rows[0].rest_mm3, 350 + 185);
}

// What a row counted goes to the storage within a generation of 750 ms: a page is erased.
TEST(MachineBounds, TotalsGoToTheStorage) {
  const std::vector<std::uint8_t> blank(std::size_t{kTotalsPages} * SILLION_PAGE_BYTES, 0xff);
  Machine machine(0, &blank);
  RowReportFrame said;
  said.sequence = said.seeds = said.bands = 1;
  machine.add(encode(said));
  machine.call(SILLION_WHY_FRAME);
  int erases = 0;
  for (std::uint32_t tick = 0; tick < 760; ++tick) {
    machine.call(SILLION_WHY_TICK, kCalledAt + tick * 1000);
    erases += machine.out.storage_command == SILLION_STORAGE_ERASE ? 1 : 0;
  }
  EXPECT_EQ(erases, 1);
}

// Totals that a storage holds are gone on with.
TEST(MachineBounds, TotalsOfTheStorageAreGoneOnWith) {
  std::vector<std::uint8_t> storage(std::size_t{kTotalsPages} * SILLION_PAGE_BYTES, 0xff);
  RowTotals before;
  before.rows[2].seeds = 70'000;
  const TotalsPage page = totals_page(before, 0, 1);
  std::copy(page.begin(), page.end(), storage.begin());
  EXPECT_EQ(Machine(0, &storage).machine.totals.rows[2].seeds, 70'000u);
}

// Seconds in which something was counted: one after 1000 ticks.
TEST(MachineBounds, SecondsAreCounted) {
  Machine machine;
  machine.machine.totals.in_second = true;
  for (int tick = 1; tick <= 2000; ++tick) {
    machine.call(SILLION_WHY_TICK);
    EXPECT_EQ(machine.machine.totals.seconds, tick >= 1000 ? 1u : 0u) << tick;
  }
}

// A row's alarms that come and go are told apart, with the row.
TEST(MachineBounds, AlarmsOfARowComeAndGo) {
  Machine machine;
  RowReportFrame said;
  said.sequence = 1;
  said.row = 5;
  said.alarms = SILLION_ALARM_NO_FLOW | SILLION_ALARM_WORN;
  machine.add(encode(said));
  machine.call(SILLION_WHY_FRAME);
  ASSERT_EQ(machine.out.event_count, 1u);
  EXPECT_EQ(machine.out.events[0].code, static_cast<std::uint32_t>(SILLION_EVENT_ALARM));
  EXPECT_EQ(machine.out.events[0].a, SILLION_ALARM_NO_FLOW | SILLION_ALARM_WORN);
  EXPECT_EQ(machine.out.events[0].b, 5);
  said.sequence = 2;
  said.alarms = SILLION_ALARM_WORN | SILLION_ALARM_NO_SEEDS;
  machine.add(encode(said));
  machine.call(SILLION_WHY_FRAME);
  ASSERT_EQ(machine.out.event_count, 2u);
  EXPECT_EQ(machine.out.events[0].a, SILLION_ALARM_NO_SEEDS);
  EXPECT_EQ(machine.out.events[1].code, static_cast<std::uint32_t>(SILLION_EVENT_ALARM_OVER));
  EXPECT_EQ(machine.out.events[1].a, SILLION_ALARM_NO_FLOW);
  EXPECT_EQ(machine.out.events[1].b, 5);
}

}  // namespace
