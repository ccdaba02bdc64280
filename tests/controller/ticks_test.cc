#include "controller/ticks.h"

#include <gtest/gtest.h>

namespace {

using namespace controller;

TEST(Ticks, DistanceIsRightAcrossTheWrap) {
  EXPECT_EQ(since_us(5, 0xfffffffbu), 10);
  EXPECT_EQ(since_us(0xfffffffbu, 5), -10);
  EXPECT_EQ(later(0xfffffffbu, 10), 5u);
  EXPECT_EQ(later(5, -10), 0xfffffffbu);
}

TEST(Ticks, HalfARangeIsTheLimit) {
  EXPECT_EQ(since_us(0x7fffffffu, 0), INT32_MAX);
  EXPECT_EQ(since_us(0x80000000u, 0), INT32_MIN);
}

TEST(Ticks, RoundsHalvesAwayFromZero) {
  EXPECT_EQ(divide_rounded(5, 2), 3);
  EXPECT_EQ(divide_rounded(-5, 2), -3);
  EXPECT_EQ(divide_rounded(4, 3), 1);
  EXPECT_EQ(divide_rounded(-4, 3), -1);
}

TEST(Ticks, SaturatesInsteadOfWrapping) {
  EXPECT_EQ(saturated(std::int64_t{INT32_MAX} + 1), INT32_MAX);
  EXPECT_EQ(saturated(std::int64_t{INT32_MIN} - 1), INT32_MIN);
}

}  // namespace
