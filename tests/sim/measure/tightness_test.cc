// The common scale of margins, against divisions by hand.
#include "sim/measure/tightness.h"

#include <gtest/gtest.h>

#include <cmath>

namespace sim::measure {
namespace {

RequirementResult result_of(double limit, double margin) {
  RequirementResult result;
  result.limit = limit;
  result.margin = margin;
  result.holds = margin >= 0.0;
  return result;
}

TEST(Tightness, IsTheMarginInPartsOfTheLimit) {
  EXPECT_EQ(tightness_ratio(result_of(4.0, 1.0)), 0.25);
  EXPECT_EQ(tightness_ratio(result_of(-4.0, 1.0)), 0.25);
  EXPECT_EQ(tightness_ratio(result_of(4.0, -2.0)), -0.5);
  EXPECT_EQ(tightness_ratio(result_of(4.0, 0.0)), 0.0);
}

TEST(Tightness, OfALimitOfZeroIsTheMarginAndNeverWhereItIsJustHeld) {
  EXPECT_EQ(tightness_ratio(result_of(0.0, -3.0)), -3.0);
  EXPECT_EQ(tightness_ratio(result_of(0.0, 2.0)), 2.0);
  EXPECT_EQ(tightness_ratio(result_of(0.0, 0.0)), HUGE_VAL);
  RequirementResult violated = result_of(0.0, 0.0);
  violated.holds = false;
  EXPECT_EQ(tightness_ratio(violated), 0.0);
}

TEST(Tightness, OfWhatWasNeverSeenIsInfinite) {
  RequirementResult result = result_of(4.0, 1.0);
  result.seen = false;
  EXPECT_EQ(tightness_ratio(result), HUGE_VAL);
}

}  // namespace
}  // namespace sim::measure
