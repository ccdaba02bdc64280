#include "model/denormals.h"

#include <gtest/gtest.h>

#include <limits>

namespace {

// The product is taken at run time, under the mode that is set then.
double times_one(double x_ratio) {
  volatile double factor_ratio = 1.0;
  return x_ratio * factor_ratio;
}

constexpr double kDenormal_ratio = std::numeric_limits<double>::denorm_min();
constexpr double kSmallest_ratio = std::numeric_limits<double>::min();

#if defined(__SSE2__)
TEST(DenormalGuard, TakesDenormalsAsZeroWhileItIsHeld) {
  ASSERT_EQ(times_one(kDenormal_ratio), kDenormal_ratio);
  const model::DenormalGuard guard;
  EXPECT_EQ(times_one(kDenormal_ratio), 0.0);
}
#endif

TEST(DenormalGuard, LeavesEveryNormalNumber) {
  const model::DenormalGuard guard;
  EXPECT_EQ(times_one(kSmallest_ratio), kSmallest_ratio);
  EXPECT_EQ(times_one(-1.0), -1.0);
}

TEST(DenormalGuard, RestoresWhatItFoundAlsoWhenGuardsNest) {
  {
    const model::DenormalGuard outer;
    {
      const model::DenormalGuard inner;
    }
#if defined(__SSE2__)
    EXPECT_EQ(times_one(kDenormal_ratio), 0.0) << "the inner guard ended the outer one's mode";
#endif
  }
  EXPECT_EQ(times_one(kDenormal_ratio), kDenormal_ratio);
}

}  // namespace
