// A seed's fall from rest against the closed law with quadratic drag.
//
// Source   t = (vt/g) acosh(exp(g h / vt^2)), textbook mechanics; vt = 10 m/s is a maize seed's
//          order (from memory); t = sqrt(2 h / g) without drag. Table computed outside this
//          program, printed to 0.1 ms.
#include <gtest/gtest.h>

#include <cmath>

#include "model/seed/delivery.h"

namespace model {
namespace {

struct Fall {
  double height_m;
  double free_ms;
  double drag_ms;
};

class FreeFall : public testing::TestWithParam<Fall> {};

double fall_ms(double height_m, double terminal_speed_mps) {
  DeliveryParams params;
  params.kind = DeliveryKind::kGravity;
  params.height_m = height_m;
  params.entry_speed_mps = 0.0;
  params.terminal_speed_mps = terminal_speed_mps;
  return 1e3 * nominal_delivery_time_s(params, 16.0 / 3.6);
}

TEST_P(FreeFall, WithDragOfATypicalSeed) {
  EXPECT_NEAR(fall_ms(GetParam().height_m, 10.0), GetParam().drag_ms, 0.0501);
}

// At vt = 1000 m/s the drag's share is g h / (6 vt^2) < 1e-6 of the time.
TEST_P(FreeFall, WithoutDragInTheLimit) {
  EXPECT_NEAR(fall_ms(GetParam().height_m, 1000.0), GetParam().free_ms, 0.0501);
}

// The table's own remark: for h <= 0.6 m drag costs less than 4 ms, and always some.
TEST_P(FreeFall, DragCostsLessThanFourMilliseconds) {
  const double cost_ms = fall_ms(GetParam().height_m, 10.0) - fall_ms(GetParam().height_m, 1000.0);
  EXPECT_GT(cost_ms, 0.0);
  EXPECT_LT(cost_ms, 4.0);
}

INSTANTIATE_TEST_SUITE_P(Table, FreeFall,
                         testing::Values(Fall{0.4, 285.6, 287.5}, Fall{0.5, 319.3, 321.9},
                                         Fall{0.6, 349.8, 353.2}));

}  // namespace
}  // namespace model
