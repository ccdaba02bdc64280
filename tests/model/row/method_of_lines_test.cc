// The row unit against an independent form of the same physics, and that form against its own laws.
//
// Two discretisations that share nothing but the parameters: waves with exact delays and stations
// (model/fluid), and a staggered grid of pressures and flows under a general integrator
// (tests/support/method_of_lines). 50 + 50 cells smooth wave fronts over some 0.1 ms, so the
// comparison is made where it matters: on the band.
#include "tests/support/method_of_lines.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <vector>

#include "tests/support/drive_row.h"

namespace support {
namespace {

constexpr double kPressure_pa = 3e5;
constexpr double kVoltage_v = 12.0;
constexpr double kSpeed_mps = 16.0 / 3.6;
constexpr std::array<OnOff, 1> kPulse{{{1e-3, 17.9e-3}}};
constexpr double kEnd_s = 40e-3;

model::BandShape lines_band(const model::RowUnitParams& row, const LinesSetup& setup) {
  const LinesRun run = run_method_of_lines(row, kPressure_pa, kVoltage_v, kPulse, kEnd_s, setup);
  return band_of(run.outlet, row, 0.0, kEnd_s, kSpeed_mps, {});
}

model::BandShape row_band(const model::RowUnitParams& row, const model::SolverParams& solver) {
  const auto outlet = drive_row(row, solver, kPressure_pa, kVoltage_v, kPulse, kEnd_s);
  return band_of(outlet, row, 0.0, kEnd_s, kSpeed_mps, {});
}

constexpr LinesSetup kYardstick{.tolerance_ratio = 1e-4};

void expect_same_band(const model::BandShape& row, const model::BandShape& lines) {
  EXPECT_NEAR(row.start_x_ground_m, lines.start_x_ground_m, 0.25e-3);
  EXPECT_NEAR(row.end_x_ground_m, lines.end_x_ground_m, 0.25e-3);
  EXPECT_NEAR(row.centre_x_ground_m, lines.centre_x_ground_m, 0.25e-3);
  EXPECT_NEAR(row.dose_m3 / lines.dose_m3, 1.0, 0.005);
  std::printf("row - lines: start %+.3f end %+.3f centre %+.3f mm, dose %+.2f %%\n",
              (row.start_x_ground_m - lines.start_x_ground_m) * 1e3,
              (row.end_x_ground_m - lines.end_x_ground_m) * 1e3,
              (row.centre_x_ground_m - lines.centre_x_ground_m) * 1e3,
              (row.dose_m3 / lines.dose_m3 - 1.0) * 100.0);
}

TEST(MethodOfLines, TheFastRowLaysTheSameBand) {
  expect_same_band(row_band(base_row(), {}), lines_band(base_row(), kYardstick));
}

TEST(MethodOfLines, TheDenseRowLaysTheSameBand) {
  model::SolverParams dense;
  dense.form = model::LineForm::kDense;
  expect_same_band(row_band(base_row(), dense), lines_band(base_row(), kYardstick));
}

TEST(MethodOfLines, SoItIsWithWater) {
  model::RowUnitParams row = base_row();
  row.liquid = model::Liquid{};
  expect_same_band(row_band(row, {}), lines_band(row, kYardstick));
}

// What goes in comes out or is stored, whatever the grid does.
TEST(MethodOfLines, VolumeBalances) {
  const LinesRun run =
      run_method_of_lines(base_row(), kPressure_pa, kVoltage_v, kPulse, kEnd_s, kYardstick);
  EXPECT_GT(run.jet_volume_m3, 1e-7);
  EXPECT_NEAR(run.inlet_volume_m3 - run.jet_volume_m3, run.stored_volume_m3 - run.stored_before_m3,
              1e-9 * run.jet_volume_m3);
  double sum_m3 = 0.0;
  for (const OutletSample& sample : run.outlet) sum_m3 += sample.volume_m3;
  EXPECT_NEAR(sum_m3 / run.jet_volume_m3, 1.0, 1e-9);
}

TEST(MethodOfLines, AShutValveLetsNothingThrough) {
  const LinesRun run =
      run_method_of_lines(base_row(), kPressure_pa, kVoltage_v, {}, 5e-3, kYardstick);
  EXPECT_EQ(run.jet_volume_m3, 0.0);
  EXPECT_EQ(run.inlet_volume_m3, 0.0);
}

// The integrator's tolerance is far below the grid's error, and the grid's error falls as it is
// refined.
TEST(MethodOfLines, ToleranceAndGridAreFineEnough) {
  const auto band = lines_band(base_row(), kYardstick);
  EXPECT_LT(band_distance_m(band, lines_band(base_row(), {.tolerance_ratio = 1e-6})), 0.01e-3);
  const auto coarse =
      lines_band(base_row(), {.hose_cells = 25, .tube_cells = 25, .tolerance_ratio = 1e-4});
  const auto fine =
      lines_band(base_row(), {.hose_cells = 100, .tube_cells = 100, .tolerance_ratio = 1e-4});
  EXPECT_LT(band_distance_m(band, fine), 0.15e-3);
  EXPECT_LT(band_distance_m(band, fine), 0.6 * band_distance_m(coarse, fine));
}

// A memory term too fast for the grid acts as inertia: carried in full it gives the same band.
TEST(MethodOfLines, FastMemoryIsInertia) {
  EXPECT_LT(
      band_distance_m(lines_band(base_row(), kYardstick),
                      lines_band(base_row(), {.tolerance_ratio = 1e-4, .fastest_memory_ps = 1e6})),
      0.02e-3);
}

// The plunger lifts off, stands at its stop and comes back: the trace shows a whole stroke and no
// lift outside it.
TEST(MethodOfLines, ThePlungerStaysBetweenSeatAndStop) {
  const model::RowUnitParams row = base_row();
  const LinesRun run =
      run_method_of_lines(row, kPressure_pa, kVoltage_v, kPulse, kEnd_s, kYardstick, true);
  double highest_m = 0.0;
  for (const LinesTrace& at : run.trace) {
    EXPECT_GE(at.lift_m, 0.0);
    EXPECT_LE(at.lift_m, row.valve.plunger.travel_m * (1.0 + 1e-12));
    EXPECT_GE(at.current_a, -1e-9);
    highest_m = std::max(highest_m, at.lift_m);
  }
  EXPECT_NEAR(highest_m, row.valve.plunger.travel_m, 1e-9);
  EXPECT_EQ(run.trace.back().lift_m, 0.0);
  EXPECT_EQ(run.trace.back().current_a, 0.0);
}

}  // namespace
}  // namespace support
