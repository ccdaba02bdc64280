#include "model/row/row_fit.h"

#include <gtest/gtest.h>

#include <cmath>
#include <stdexcept>

namespace model {
namespace {

const Line kHose = {.length_m = 1.0, .bore_m = 6e-3, .wave_speed_mps = 500.0};

TEST(RowFit, WholeCellsNeedNoShift) {
  const auto fit =
      fit_row(kHose, {.length_m = 0.9, .bore_m = 4e-3, .wave_speed_mps = 400.0}, 10000);
  EXPECT_EQ(fit.step_ns, 10000);
  EXPECT_EQ(fit.hose_cells, 200);
  EXPECT_EQ(fit.tube_cells, 225);
  EXPECT_NEAR(fit.tube_wave_speed_shift_ratio, 0.0, 1e-12);
  EXPECT_NEAR(fit.tube_travel_time_s, 2.25e-3, 1e-12);
}

TEST(RowFit, OddLengthsStayBelowATenthOfAPercent) {
  // Mounting scatter of 10 mm gives lengths like these.
  for (const double length_m : {0.8913, 0.9047, 0.3071, 0.2968, 0.5009}) {
    const Line tube = {.length_m = length_m, .bore_m = 6e-3, .wave_speed_mps = 413.0};
    const auto fit =
        fit_row({.length_m = 0.31, .bore_m = 6e-3, .wave_speed_mps = 487.0}, tube, 10000);
    EXPECT_GE(fit.step_ns, 6000);
    EXPECT_LE(fit.step_ns, 10000);
    EXPECT_LT(std::abs(fit.tube_wave_speed_shift_ratio), 1e-3) << length_m;
    EXPECT_LT(std::abs(fit.hose_wave_speed_shift_ratio), 1e-3) << length_m;
    const double used_mps = length_m / (fit.tube_cells * static_cast<double>(fit.step_ns) * 1e-9);
    EXPECT_NEAR(used_mps / 413.0 - 1.0, fit.tube_wave_speed_shift_ratio, 1e-12);
  }
}

// Of lines with few cells some fit no step between 30 and 50 us to 0.5 %.
TEST(RowFit, ALongStepThatFitsBadlyGivesWayToAShorterOne) {
  const Line hose = {.length_m = 0.2, .bore_m = 8e-3, .wave_speed_mps = 500.0};
  int shorter = 0;
  for (double speed_mps = 380.0; speed_mps < 420.0; speed_mps += 0.5) {
    const Line tube = {.length_m = 0.3, .bore_m = 8e-3, .wave_speed_mps = speed_mps};
    const auto fit = fit_row(hose, tube, 50'000);
    EXPECT_LE(std::abs(fit.tube_wave_speed_shift_ratio), 5e-3) << speed_mps;
    EXPECT_LE(std::abs(fit.hose_wave_speed_shift_ratio), 5e-3) << speed_mps;
    EXPECT_GE(fit.step_ns, 10'000);
    shorter += fit.step_ns < 30'000 ? 1 : 0;
  }
  EXPECT_GT(shorter, 0) << "every speed fits at 60 % or more: nothing was tested";
}

TEST(RowFit, RefusesWhatNoStepFits) {
  // A tube shorter than one cell.
  EXPECT_THROW(fit_row(kHose, {.length_m = 1e-4, .bore_m = 4e-3, .wave_speed_mps = 400.0}, 10000),
               std::invalid_argument);
}

}  // namespace
}  // namespace model
