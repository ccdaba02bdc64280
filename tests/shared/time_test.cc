// Instants and durations: exact sums, rounding to the nearest nanosecond, comparison.
#include "shared/time.h"

#include <gtest/gtest.h>

namespace shared {
namespace {

TEST(Time, SumsAreExactWhereDoublesAreNot) {
  Instant at{};
  for (int i = 0; i < 1'000'000; ++i) at = at + microseconds(10);
  EXPECT_EQ(at.ns, 10'000'000'000);
  EXPECT_EQ(at, instant_of(10.0));
}

TEST(Time, DifferencesAreDurations) {
  const Instant early{5};
  const Instant late = early + milliseconds(3);
  EXPECT_EQ((late - early).ns, 3'000'000);
  EXPECT_EQ(late - milliseconds(3), early);
  EXPECT_EQ((early - late).ns, -3'000'000);
  EXPECT_LT(early, late);
  EXPECT_EQ((milliseconds(2) - microseconds(500)) * 2, microseconds(3000));
  EXPECT_EQ(milliseconds(1) + microseconds(1), Duration{1'001'000});
}

TEST(Time, RoundsToTheNearestNanosecondHalvesAwayFromZero) {
  EXPECT_EQ(nanoseconds_of(1.4e-9), 1);
  EXPECT_EQ(nanoseconds_of(1.6e-9), 2);
  EXPECT_EQ(nanoseconds_of(2.5e-9), 3);
  EXPECT_EQ(nanoseconds_of(-2.5e-9), -3);
  EXPECT_EQ(nanoseconds_of(-1.4e-9), -1);
  EXPECT_EQ(duration_of(0.1).ns, 100'000'000);
}

TEST(Time, SecondsComeBack) {
  EXPECT_DOUBLE_EQ(instant_of(12.345678901).seconds(), 12.345678901);
  EXPECT_DOUBLE_EQ(milliseconds(-7).seconds(), -0.007);
  for (std::int64_t ns : {0L, 1L, 999L, 123'456'789L, -42L, 86'400'000'000'000L})
    EXPECT_EQ(instant_of(Instant{ns}.seconds()).ns, ns);
}

TEST(Time, AYearFits) {
  const Instant year = Instant{} + milliseconds(1000) * (365LL * 86'400);
  EXPECT_EQ(year.ns, 31'536'000'000'000'000LL);
  EXPECT_GT(year, Instant{});
}

}  // namespace
}  // namespace shared
