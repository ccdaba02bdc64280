// The loop of the pressure at its limits: who has a vote, what is told, where the trim ends.
#include <gtest/gtest.h>

#include "controller/pressure_loop.h"
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

// A row begins anew where its number is more than 64 behind, or where its resets, the upper four
// bits of its state, are others; the first report of all is no new start.
TEST(PressureLoopBounds, AnewIsByNumberOrByResets) {
  Loop loop;
  const auto anew = [&](std::uint16_t number, int resets) {
    EXPECT_TRUE(loop.hear(number, 1000, 1000, static_cast<std::uint8_t>(resets << 4 | kFlowValid)));
    return loop.anew;
  };
  EXPECT_FALSE(anew(1000, 1));
  EXPECT_FALSE(anew(1001, 1));
  EXPECT_TRUE(anew(1001 - 65, 1));
  EXPECT_FALSE(anew(1001 - 64, 1));
  EXPECT_TRUE(anew(1001 - 63, 2));
  EXPECT_FALSE(anew(1001 - 62, 2));
  EXPECT_TRUE(anew(1001 - 61, 3));
  // The lower four are no resets.
  EXPECT_TRUE(loop.hear(1001 - 60, 1000, 1000, 3 << 4 | kStreaming));
  EXPECT_FALSE(loop.anew);
}

// A vote counts for 3 s. A row that has been silent for longer loses it, and its number: whatever
// it says then is taken. 11 000 expected, 10 000 flow: an eighth of 6554 are 819.
TEST(PressureLoopBounds, AVoteCountsForThreeSeconds) {
  for (const std::uint32_t age_us : {3'000'000u, 3'000'001u}) {
    Loop loop;
    ASSERT_TRUE(loop.hear(100, 10'000, 11'000));
    trim_pressure(loop.loop, 5000 + age_us);
    const bool counts = age_us == 3'000'000;
    EXPECT_EQ(loop.votes(), counts);
    EXPECT_EQ(loop.loop.trim_q16, counts ? 819 : 0);
    EXPECT_EQ(loop.hear(100), !counts);
    EXPECT_FALSE(loop.anew);
  }
}

// The least flow that votes, 1 of 2 mm3/s, is a vote for twice as much; the trim ends at 15 %, 9830
// of 65536, of which an eighth are 1228. 3 of 2 mm3/s are one for a third less: it ends at -15 %.
TEST(PressureLoopBounds, TheTrimEndsAtFifteenPercent) {
  Loop less;
  ASSERT_TRUE(less.hear(1, 1, 2));
  trim_pressure(less.loop, 5000);
  EXPECT_EQ(less.loop.trim_q16, 1228);
  Loop more;
  ASSERT_TRUE(more.hear(1, 3, 2));
  trim_pressure(more.loop, 5000);
  EXPECT_EQ(more.loop.trim_q16, -1228);
  // Near the end it goes the last eight steps, and there it stays.
  for (const std::int32_t sign : {1, -1}) {
    Loop& loop = sign > 0 ? less : more;
    loop.loop.trim_q16 = sign * (9830 - 8);
    trim_pressure(loop.loop, 5000);
    EXPECT_EQ(loop.loop.trim_q16, sign * (9830 - 7));
    loop.loop.trim_q16 = sign * (9830 - 7);
    trim_pressure(loop.loop, 5000);
    EXPECT_EQ(loop.loop.trim_q16, sign * (9830 - 7));
  }
}

// The sums begin at nothing: one row alone, 9 of 10 mm3/s, should have 1/9: 7282 of 65536, an
// eighth 910. The share's unit is exact: 0.10009 x 65536 = 6559.498, an eighth of 6559 is 819; of
// 6560 it would be 820.
TEST(PressureLoopBounds, TheGoalIsTheShareThatIsMissing) {
  Loop small;
  ASSERT_TRUE(small.hear(1, 9, 10));
  trim_pressure(small.loop, 5000);
  EXPECT_EQ(small.loop.trim_q16, 910);
  Loop large;
  ASSERT_TRUE(large.hear(1, 100'000, 110'009));
  trim_pressure(large.loop, 5000);
  EXPECT_EQ(large.loop.trim_q16, 819);
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

// Standing or backwards the whole machine stands, however it turns: no flow is wanted and nothing
// is out of range. At 50 mm/s a row still stands, at 1 um/s more it wants what the table does not
// have.
TEST(PressureLoopBounds, AMachineThatStandsWantsNothing) {
  for (const std::int32_t speed_umps : {-1'000'000, -1, 0}) {
    Loop loop;
    loop.drive(speed_umps, 2'000'000);
    EXPECT_EQ(loop.loop.wanted_mm3ps, 0) << speed_umps;
    EXPECT_EQ(loop.loop.pressure_pa, 20'000);  // the table's lowest
    EXPECT_EQ(loop.out.event_count, 0u);
  }
  // At 1 um/s the outermost of 8 rows, 2.667 m off the middle, goes 5.334 m/s.
  Loop turning;
  turning.drive(1, 2'000'000);
  EXPECT_NEAR(turning.loop.wanted_mm3ps, 4677e-9 * 0.762 * 5.334 * 1e9, 1.0);
  for (const std::int32_t speed_umps : {1, 49'999, 50'000, 50'001}) {
    Loop loop;
    loop.drive(speed_umps);
    EXPECT_EQ(loop.out.event_count, speed_umps > 50'000 ? 1u : 0u) << speed_umps;
  }
}

// At the table's last point, 20 000 mm3/s at 500 kPa: the pressure that is allowed may be just
// that.
TEST(PressureLoopBounds, TheMostPressureMayBeUsed) {
  for (const std::int32_t most_pa : {499'999, 500'000}) {
    Loop loop;
    loop.config.in_band_rate_nm = 5000;
    loop.config.row_width_um = 1'000'000;
    loop.config.pressure_max_pa = most_pa;
    loop.drive(4'000'000);
    EXPECT_EQ(loop.loop.wanted_mm3ps, 20'000);
    EXPECT_EQ(loop.loop.pressure_pa, most_pa);
    EXPECT_EQ(loop.out.event_count, most_pa == 500'000 ? 0u : 1u);
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

}  // namespace
