#include "model/number.h"

#include <gtest/gtest.h>

#include <limits>

#include "model/denormals.h"

namespace model {
namespace {

TEST(Number, SelectTakesTheNamedSide) {
  EXPECT_EQ(select(true, 1.0, 2.0), 1.0);
  EXPECT_EQ(select(false, 1.0, 2.0), 2.0);
}

TEST(Number, HigherAndLower) {
  EXPECT_EQ(max_of(1.0, 2.0), 2.0);
  EXPECT_EQ(min_of(1.0, 2.0), 1.0);
  EXPECT_EQ(abs_of(-3.0), 3.0);
  EXPECT_EQ(sqrt_of(2.25), 1.5);
}

double half_of_the_least_normal() {
  volatile double least = std::numeric_limits<double>::min();
  return least * 0.5;
}

TEST(DenormalGuard, FlushesInsideAndRestoresAfter) {
  ASSERT_GT(half_of_the_least_normal(), 0.0);
#if defined(__SSE2__)
  {
    const DenormalGuard outer;
    EXPECT_EQ(half_of_the_least_normal(), 0.0);
    {
      const DenormalGuard inner;
    }
    EXPECT_EQ(half_of_the_least_normal(), 0.0);  // the inner one did not undo the outer one
  }
#endif
  EXPECT_GT(half_of_the_least_normal(), 0.0);
}

}  // namespace
}  // namespace model
