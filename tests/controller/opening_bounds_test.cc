// The dip of the coil's current in bursts of a few counts, so that the corner's limits and its
// instant can be worked by hand; and which bursts count in the mean.
#include <gtest/gtest.h>

#include <vector>

#include "controller/opening_seen.h"
#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

std::int32_t seen_us(const std::vector<std::uint16_t>& counts) {
  return opening_in_us(counts.data(), static_cast<std::uint32_t>(counts.size()), 75);
}

// A corner needs 8 counts per sample more behind it than before, sample 4 of these six (the stop
// is at its instant, 4 periods): 16 counts in two samples from a standstill. 15 are too few; so is
// a fall by 1 in three samples and a rise by 15 in two: 15/2 + 1/3 = 7.83.
TEST(OpeningBounds, ACornerOfEightCountsIsSeen) {
  EXPECT_EQ(seen_us({100, 100, 100, 100, 108, 116}), 300);
  EXPECT_EQ(seen_us({100, 100, 100, 100, 107, 115}), -1);
  EXPECT_EQ(seen_us({101, 101, 101, 100, 107, 115}), -1);
  EXPECT_NE(seen_us({102, 102, 101, 100, 107, 115}), -1);  // 7.5 + 0.67
}

// Before the corner the current rises by at most a quarter of what it rises by behind it: 3 counts
// per sample against 12, but not against 11, although both grow by 8 and more.
TEST(OpeningBounds, ARiseThatOnlySteepensIsNoCorner) {
  EXPECT_EQ(seen_us({100, 103, 106, 109, 121, 133}), 300);
  EXPECT_EQ(seen_us({100, 103, 106, 109, 120, 131}), -1);
  EXPECT_EQ(seen_us({100, 120, 140, 160, 200, 240}), -1);
}

// The corner lies where the lines meet that the two samples before it and the steeper step behind
// it give. 100 counts level, then 105 at the corner sample, and 20 per sample on: the line through
// 105 and 125 meets 100 a quarter of a sample before, at 4 - 0.25 periods.
TEST(OpeningBounds, TheLinesMeetBetweenTheSamples) {
  EXPECT_EQ(seen_us({100, 100, 100, 105, 125, 145}), 300 - 19);
  // The first step behind the sample may have begun late: with 10 and then 20 the line of 20 meets
  // 100 half a sample behind it.
  EXPECT_EQ(seen_us({100, 100, 100, 100, 110, 130}), 300 + 38);
  // Lines that meet further off are held within one sample. A fall by 4 per sample from 100 meets a
  // rise by 16 through 136, two samples later, 1.2 samples before the corner's; a rise by 2 from
  // 104 meets one by 24 through 106 1.09 samples behind it.
  EXPECT_EQ(seen_us({108, 104, 100, 120, 136, 152}), 300 - 75);
  EXPECT_EQ(seen_us({100, 102, 104, 104, 106, 130}), 300 + 75);
  // Parallel lines, 50 per sample, meet nowhere: the sample itself. With 49.5 they meet far behind.
  EXPECT_EQ(seen_us({0, 50, 100, 0, 50, 100}), 300);
  EXPECT_EQ(seen_us({0, 50, 99, 0, 50, 100}), 300 + 75);
}

// Six samples are the fewest; what lies behind the burst's count is none of it.
TEST(OpeningBounds, TheBurstEndsWithItsCount) {
  const std::uint16_t counts[] = {100, 100, 100, 100, 100, 100, 200, 300};
  EXPECT_EQ(opening_in_us(counts, 5, 75), -1);
  EXPECT_EQ(opening_in_us(counts, 6, 75), -1);
  EXPECT_NE(opening_in_us(counts, 7, 75), -1);
  const std::uint16_t shortest[] = {100, 100, 100, 100, 108, 116};
  EXPECT_EQ(opening_in_us(shortest, 5, 75), -1);
}

// Of two corners the one with the larger change counts, wherever it lies.
TEST(OpeningBounds, TheLargestCornerCounts) {
  EXPECT_EQ(seen_us({50, 50, 50, 50, 59, 68, 68, 68, 68, 78, 88}), 9 * 75);
  EXPECT_EQ(seen_us({50, 50, 50, 50, 60, 70, 70, 70, 70, 79, 88}), 4 * 75);
}

/// A burst of 64 samples whose only corner lies at sample `corner` (from 1), 20 counts per sample.
void fill(sillion_input& in, int corner) {
  in.burst_count = 64;
  for (int k = 0; k < 64; ++k)
    in.burst_counts[k] = static_cast<std::uint16_t>(100 + 20 * std::max(0, k + 1 - corner));
}

struct Taken {
  OpeningSeen opening;
  PulsePlanner planner;
  sillion_input in{};

  /// The corner of sample 20 is at 1500 us.
  explicit Taken(std::int32_t apart_us = 0) {
    planner.pulse.opened_ticks = 1000;
    planner.closed_ticks = 1000 + 4800;
    in.burst_start_ticks = 1000u + static_cast<std::uint32_t>(apart_us);
    fill(in, 20);
  }
  Taken& take(std::int32_t expected_us) {
    take_burst(opening, planner, in, expected_us);
    return *this;
  }
};

// An empty burst is none, whatever stands behind it, and one of more than its 64 samples has 64.
TEST(OpeningBounds, TheBurstsCountIsHeldWithinItsRoom) {
  Taken none;
  none.in.burst_count = 0;
  EXPECT_EQ(none.take(1500).opening.openings, 0);
  Taken many;
  fill(many.in, 62);  // the corner is the last that has two samples behind it
  many.in.burst_count = 4000;
  EXPECT_EQ(many.take(1500).opening.openings, 1);
  EXPECT_EQ(many.opening.late_q4_us, 16 * (62 * 75 - 1500));
}

// The least that a table can state is 1 us.
TEST(OpeningBounds, ExpectedIsStatedOrNot) {
  EXPECT_EQ(expected_opening_us(0, 300), 0);
  EXPECT_EQ(expected_opening_us(1, 0), 1);
  EXPECT_EQ(expected_opening_us(1, 300), 401);
  EXPECT_EQ(expected_opening_us(2500, -3), 2496);
}

// Until the eighth opening nothing is late.
TEST(OpeningBounds, NothingIsLateBeforeTheEighth) {
  for (const std::uint8_t openings : {std::uint8_t{7}, std::uint8_t{8}}) {
    const OpeningSeen opening{.late_q4_us = 16 * 600, .openings = openings};
    EXPECT_EQ(opening_late_us(opening), openings == 8 ? 600 : 0);
    EXPECT_EQ(is_slow(opening, false), openings == 8);
  }
}

// 0 states no opening; the least that can be stated is 1 us.
TEST(OpeningBounds, AStatedOpeningIsAboveZero) {
  EXPECT_EQ(Taken().take(0).opening.openings, 0);
  EXPECT_EQ(Taken().take(-1).opening.openings, 0);
  const Taken stated = Taken().take(1);
  EXPECT_EQ(stated.opening.openings, 1);
  EXPECT_EQ(stated.opening.late_q4_us, 16 * 1499);
}

// The burst began with the newest pulse where both instants are within 50 us.
TEST(OpeningBounds, FiftyMicrosecondsAreTheSamePulse) {
  for (const std::int32_t apart_us : {-51, -50, 0, 50, 51}) {
    const bool same = apart_us >= -50 && apart_us <= 50;
    EXPECT_EQ(Taken(apart_us).take(1500).opening.openings, same ? 1 : 0) << apart_us;
  }
}

// Driven over all its 64 periods of 75 us, 4.8 ms; an open valve is driven still.
TEST(OpeningBounds, TheValveIsDrivenOverTheWholeBurst) {
  Taken closed;
  closed.planner.closed_ticks = 1000 + 4799;
  EXPECT_EQ(closed.take(1500).opening.openings, 0);
  closed.planner.pulse.open = true;
  EXPECT_EQ(closed.take(1500).opening.openings, 1);
  EXPECT_EQ(Taken().take(1500).opening.openings, 1);
}

// A burst without a corner counts for nothing.
TEST(OpeningBounds, ABurstWithoutACornerIsNotInTheMean) {
  Taken flat;
  fill(flat.in, 64);
  EXPECT_EQ(flat.take(1500).opening.openings, 0);
  EXPECT_EQ(flat.opening.late_q4_us, 0);
}

// Plain mean over the first 16: 400 and 100 us are 250; the 17th counts a sixteenth.
TEST(OpeningBounds, TheMeanIsPlainAndThenSlides) {
  Taken taken;
  EXPECT_EQ(taken.take(1100).opening.late_q4_us, 16 * 400);
  EXPECT_EQ(taken.take(1400).opening.late_q4_us, 16 * 250);
  for (int k = 2; k < 16; ++k) taken.take(1250);
  EXPECT_EQ(taken.opening.openings, 16);
  EXPECT_EQ(taken.opening.late_q4_us, 16 * 250);
  taken.take(1500 - 250 - 32);
  EXPECT_EQ(taken.opening.openings, 16);
  EXPECT_EQ(taken.opening.late_q4_us, 16 * 252);
}

// An opening far from what the table expects counts as 10 ms early, twice the burst, so that one
// wrong entry of a table is forgotten as soon as any other.
TEST(OpeningBounds, TenMillisecondsAreTheMost) {
  EXPECT_EQ(Taken().take(11'499).opening.late_q4_us, 16 * -9'999);
  EXPECT_EQ(Taken().take(11'500).opening.late_q4_us, 16 * -10'000);
  EXPECT_EQ(Taken().take(11'501).opening.late_q4_us, 16 * -10'000);
  EXPECT_EQ(Taken().take(900'000).opening.late_q4_us, 16 * -10'000);
}

// The trim is 3/4 of what exceeds 50 us, to 2 ms, from the eighth opening on.
TEST(OpeningBounds, TheTrimBeginsBeyondFiftyMicroseconds) {
  const auto trim_us = [](std::int32_t late_us, std::uint8_t openings) {
    return opening_trim_us({.late_q4_us = 16 * late_us, .openings = openings});
  };
  EXPECT_EQ(trim_us(450, 7), 0);
  for (const std::int32_t sign : {1, -1}) {
    EXPECT_EQ(trim_us(sign * 450, 8), sign * 300);
    EXPECT_EQ(trim_us(sign * 50, 16), 0);
    EXPECT_EQ(trim_us(sign * 51, 16), sign * 1);  // 0.75
    EXPECT_EQ(trim_us(sign * 54, 16), sign * 3);
    EXPECT_EQ(trim_us(sign * 2714, 16), sign * 1998);
    EXPECT_EQ(trim_us(sign * 2718, 16), sign * 2000);  // 2001
  }
}

}  // namespace
