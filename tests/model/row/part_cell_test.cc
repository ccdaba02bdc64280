// What a part of a cell does to bands: rows whose tubes hold every part of a cell, at a step of 50
// us, against the same rows at a fifth of the step. Every row differs from its finer form by what
// the longer step does to plunger and cavities; rows of whole cells show how much that is.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>
#include <vector>

#include "tests/support/drive_row.h"

namespace model {
namespace {

constexpr double kSpeed_mps = 16.0 / 3.6;
constexpr double kPressure_pa = 3e5;
constexpr double kEnd_s = 0.3;

std::vector<support::OnOff> pulses_at(double frequency_hz, double on_s) {
  std::vector<support::OnOff> pulses;
  for (int k = 0; k < 6; ++k) {
    const double from_s = 1e-3 + k / frequency_hz;
    pulses.push_back({from_s, from_s + on_s});
  }
  return pulses;
}

BandShape last_band(const RowUnitParams& row, std::int64_t step_ns,
                    const std::vector<support::OnOff>& pulses) {
  SolverParams solver;
  solver.step_ns = step_ns;
  const auto outlet = support::drive_row(row, solver, kPressure_pa, 12.0, pulses, kEnd_s);
  return support::band_of(outlet, row, pulses.back().on_s, kEnd_s, kSpeed_mps, {});
}

/// Root mean square of start, end and centre against the finer form, over rows whose tubes have
/// these many cells at 50 us: 45 and more, each with the part.
double off_m(double part_ratio, double frequency_hz, double on_s) {
  const auto pulses = pulses_at(frequency_hz, on_s);
  constexpr int kRows = 16;
  double squares_m2 = 0.0;
  for (int more = 0; more < kRows; ++more) {
    RowUnitParams row = support::base_row();
    // 20 mm are a cell of the tube at 50 us.
    row.tube.length_m += 20e-3 * (more + part_ratio);
    const BandShape coarse = last_band(row, 50'000, pulses), fine = last_band(row, 10'000, pulses);
    for (const double apart_m : {coarse.start_x_ground_m - fine.start_x_ground_m,
                                 coarse.end_x_ground_m - fine.end_x_ground_m,
                                 coarse.centre_x_ground_m - fine.centre_x_ground_m})
      squares_m2 += apart_m * apart_m / (3.0 * kRows);
  }
  return std::sqrt(squares_m2);
}

// Rows with a part of a cell are as near to their finer forms as rows of whole cells are; between
// parts the figures scatter by a fifth, as they do between numbers of cells.
TEST(PartOfACell, AddsNothingToWhatTheStepDoes) {
  for (const auto& [frequency_hz, on_s] : {std::pair{30.0, 16.9e-3}, {60.0, 8e-3}}) {
    const double whole_m = off_m(0.0, frequency_hz, on_s);
    std::printf("%2.0f Hz, whole cells: %.3f mm from the finer form\n", frequency_hz,
                whole_m * 1e3);
    for (const double part_ratio : {0.25, 0.5, 0.75}) {
      const double part_m = off_m(part_ratio, frequency_hz, on_s);
      std::printf("%2.0f Hz, and a part of %.2f: %.3f mm\n", frequency_hz, part_ratio,
                  part_m * 1e3);
      EXPECT_LE(part_m, 1.35 * whole_m);
    }
  }
}

}  // namespace
}  // namespace model
