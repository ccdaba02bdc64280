#include "model/row/row_fit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

namespace model {
namespace {

const Line kHose = {.length_m = 1.0, .bore_m = 6e-3, .wave_speed_mps = 500.0};

TEST(RowFit, WholeCellsHaveNoPart) {
  const auto fit =
      fit_row(kHose, {.length_m = 0.9, .bore_m = 4e-3, .wave_speed_mps = 400.0}, 10000);
  EXPECT_EQ(fit.step_ns, 10000);
  EXPECT_EQ(fit.hose.whole, 200);
  EXPECT_EQ(fit.tube.whole, 225);
  EXPECT_EQ(fit.hose.part_ratio, 0.0);
  EXPECT_EQ(fit.tube.part_ratio, 0.0);
  EXPECT_NEAR(fit.tube_travel_time_s, 2.25e-3, 1e-12);
}

TEST(RowFit, OddLengthsKeepTheirTravelTimeAtAnyStep) {
  for (const double length_m : {0.8913, 0.9047, 0.3071, 0.2968, 0.5009})
    for (const std::int64_t step_ns : {10'000, 33'333, 50'000}) {
      const Line tube = {.length_m = length_m, .bore_m = 6e-3, .wave_speed_mps = 413.0};
      const auto fit =
          fit_row({.length_m = 0.31, .bore_m = 6e-3, .wave_speed_mps = 487.0}, tube, step_ns);
      EXPECT_EQ(fit.step_ns, step_ns);
      EXPECT_GE(fit.tube.part_ratio, 0.0);
      EXPECT_LT(fit.tube.part_ratio, 1.0);
      EXPECT_NEAR(fit.tube.in_cells() * static_cast<double>(step_ns) * 1e-9, length_m / 413.0,
                  1e-15);
      EXPECT_NEAR(fit.hose.in_cells() * static_cast<double>(step_ns) * 1e-9, 0.31 / 487.0, 1e-15);
    }
}

TEST(RowFit, RefusesALineShorterThanACell) {
  EXPECT_THROW(fit_row(kHose, {.length_m = 3.9e-3, .bore_m = 4e-3, .wave_speed_mps = 400.0}, 10000),
               std::invalid_argument);
  EXPECT_NO_THROW(
      fit_row(kHose, {.length_m = 4.1e-3, .bore_m = 4e-3, .wave_speed_mps = 400.0}, 10000));
}

}  // namespace
}  // namespace model
