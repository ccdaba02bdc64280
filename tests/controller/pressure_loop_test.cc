#include "controller/pressure_loop.h"

#include <gtest/gtest.h>

#include "controller/rate_loop.h"
#include "controller/set_point_table.h"
#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

struct Machine {
  sillion_config config = test::machine_config();
  PressureLoop loop;
  sillion_output out{};
  sillion_health health{};
  std::uint32_t now = test::kStartTicks;
  std::uint16_t sequence = 0;
  int out_of_range_events = 0;

  void drive(std::int32_t speed_umps, std::int32_t yaw_uradps = 0) {
    out.event_count = 0;
    Report report{out, health, now};
    set_pressure(loop, config, speed_umps, yaw_uradps, report);
    out_of_range_events += static_cast<int>(out.event_count);
  }
  /// True when the row is seen to have begun anew.
  bool hear(RowReportFrame said) {
    out.event_count = 0;
    Report report{out, health, now};
    said.sequence = ++sequence;
    controller::RowReportFrame heard;
    bool anew = false;
    take_row_report(loop, encode(said), config, heard, anew, report);
    return anew;
  }
  /// One second with a row whose flow is `gain_ratio` times that of the table at the pressure asked
  /// for.
  void second_with_gain(double gain_ratio, std::uint8_t state = kFlowValid) {
    now += 1'000'000;
    const std::int32_t promised = flow_at_pressure_mm3ps(config.attachment, loop.pressure_pa);
    hear({.row = 2,
          .state = state,
          .flow_mm3ps = static_cast<std::int32_t>(promised * gain_ratio),
          .wanted_mm3ps = promised});
    trim_pressure(loop, now);
    drive(4'000'000);
  }
};

// 4677 nm * 0.762 m * 4 m/s = 14256 mm3/s; squares: (203.23 - 16)/(400 - 16) = 0.48759 of 480 kPa
// on top of 20: 254.0 kPa.
TEST(PressureLoop, PressureRisesWithTheWantedRate) {
  Machine machine;
  machine.drive(4'000'000);
  EXPECT_NEAR(machine.loop.wanted_mm3ps, 14'256, 2);
  EXPECT_NEAR(machine.loop.pressure_pa, 254'000, 200);
  const std::int32_t before = machine.loop.pressure_pa;
  machine.config.in_band_rate_nm += 500;
  machine.drive(4'000'000);
  EXPECT_GT(machine.loop.pressure_pa, before);
}

// The outermost of 8 rows sits 2.667 m out: 0.1 rad/s there is 0.267 m/s more for a turn to either
// side.
TEST(PressureLoop, TheFastestRowSetsIt) {
  for (const std::int32_t yaw : {100'000, -100'000}) {
    Machine machine;
    machine.drive(4'000'000, yaw);
    EXPECT_NEAR(machine.loop.wanted_mm3ps, 14'256.0 * 4.2667 / 4.0, 3.0);
  }
}

TEST(PressureLoop, StaysBelowTheLimitAndSaysOnceThatItCannot) {
  Machine machine;
  machine.config.pressure_max_pa = 150'000;
  for (int i = 0; i < 10; ++i) machine.drive(4'000'000);
  EXPECT_EQ(machine.loop.pressure_pa, 150'000);
  EXPECT_EQ(machine.out_of_range_events, 1);
  machine.drive(2'000'000);
  machine.drive(4'000'000);
  EXPECT_EQ(machine.out_of_range_events, 2);
}

TEST(PressureLoop, StandingIsNotOutOfRange) {
  Machine machine;
  machine.drive(0);
  EXPECT_EQ(machine.loop.pressure_pa, 20'000);
  EXPECT_EQ(machine.out_of_range_events, 0);
}

// The rows report 8 % too little, so the flow asked of the table goes up by 1/0.92 - 1 = 8.7 %.
TEST(PressureLoop, TrimsTheTableByTheMeters) {
  Machine machine;
  machine.drive(4'000'000);
  for (int i = 0; i < 60; ++i) machine.second_with_gain(0.92);
  EXPECT_NEAR(machine.loop.trim_q16 / 65'536.0, 0.087, 0.002);
}

TEST(PressureLoop, TrimIsBounded) {
  Machine machine;
  machine.drive(4'000'000);
  for (int i = 0; i < 120; ++i) machine.second_with_gain(0.6);
  EXPECT_LE(machine.loop.trim_q16, kMostTrimQ16);
  EXPECT_GE(machine.loop.trim_q16, kMostTrimQ16 - 8);
}

TEST(PressureLoop, BrokenRowsAndThoseThatSetTheirLiftHaveNoVote) {
  Machine machine;
  machine.drive(4'000'000);
  for (int i = 0; i < 30; ++i) machine.second_with_gain(0.3);
  EXPECT_EQ(machine.loop.trim_q16, 0);
  for (int i = 0; i < 30; ++i) machine.second_with_gain(0.9, kFlowValid | kSetsLift);
  EXPECT_EQ(machine.loop.trim_q16, 0);
  for (int i = 0; i < 30; ++i) machine.second_with_gain(0.9, 0);
  EXPECT_EQ(machine.loop.trim_q16, 0);
}

TEST(PressureLoop, SilentRowsLoseTheirVote) {
  Machine machine;
  machine.drive(4'000'000);
  machine.second_with_gain(0.92);
  const std::int32_t trim = machine.loop.trim_q16;
  for (int i = 0; i < 30; ++i) {
    machine.now += 1'000'000;
    trim_pressure(machine.loop, machine.now);
  }
  // Two more steps of an eighth while the vote is fresh (1 and 2 s, and 3 s to the tick), then
  // none.
  EXPECT_LE(machine.loop.trim_q16, 4 * trim);
  EXPECT_FALSE(machine.loop.votes[2].valid);
}

TEST(PressureLoop, BadReportsAreCounted) {
  Machine machine;
  const auto hear = [&](std::uint8_t row, std::int32_t flow_mm3ps) {
    machine.hear({.row = row, .state = kFlowValid, .flow_mm3ps = flow_mm3ps, .wanted_mm3ps = 100});
  };
  hear(60, 100);  // there are 8 rows
  hear(255, 100);
  hear(1, 500'001);  // no row lets half a litre per second through
  EXPECT_EQ(machine.health.bad_frames, 3u);
  trim_pressure(machine.loop, machine.now);
  EXPECT_EQ(machine.loop.trim_q16, 0);
}

// A meter that says more than half too much is broken, and so is a row that wants nothing.
TEST(PressureLoop, TooMuchFlowOrNoneWantedHasNoVote) {
  Machine machine;
  machine.drive(4'000'000);
  for (int i = 0; i < 30; ++i) machine.second_with_gain(1.6);
  EXPECT_EQ(machine.loop.trim_q16, 0);
  machine.hear({.row = 2, .state = kFlowValid, .flow_mm3ps = 0, .wanted_mm3ps = 0});
  EXPECT_FALSE(machine.loop.votes[2].valid);
}

// No machine has more than 64 rows, whatever its configuration says: the votes end there.
TEST(PressureLoop, ARowBeyondTheLastIsABadFrame) {
  Machine machine;
  machine.config.rows = 200;
  machine.hear({.row = 63});
  EXPECT_EQ(machine.health.bad_frames, 0u);
  machine.hear({.row = 64});
  EXPECT_EQ(machine.health.bad_frames, 1u);
  EXPECT_EQ(machine.out.events[0].code, std::uint32_t{SILLION_EVENT_BAD_FRAME});
}

// A row says its resets modulo 16 in the upper four bits of its state. The first report sets what
// the next ones are held against.
TEST(PressureLoop, ANewResetBeginsARowAnew) {
  Machine machine;
  const auto with_resets = [](int resets) {
    return RowReportFrame{.row = 2, .state = static_cast<std::uint8_t>(resets << 4)};
  };
  EXPECT_FALSE(machine.hear(with_resets(3)));
  EXPECT_FALSE(machine.hear(with_resets(3)));
  EXPECT_TRUE(machine.hear(with_resets(4)));
  EXPECT_FALSE(machine.hear(with_resets(4)));
}

}  // namespace
