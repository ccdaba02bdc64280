// A row against general integrators on the same physics, side by side in one run.
//
//   fast form        model::RowUnit, alone or in lanes (model/row/row_lanes.h)
//   general          Odeint runge_kutta_dopri5 on the method of lines, 50 + 50 cells, as cheap as
//                    0.15 mm allows (tests/support/method_of_lines)
//   stiff            CVODE of SUNDIALS on the same equations, where it was found
//                    (bench/stiff_solver.h)
//   reference        the dense form; a side must lay every band of the train within 0.15 mm of it
//                    (start, end, centre)
//
// As cheap as 0.15 mm allows: of several settings that keep 0.15 mm, the one with the least work is
// timed. Processor time is measured, not wall time, in short turns of one side and the other, so
// that whatever else runs on the machine affects both.
#pragma once

#include <benchmark/benchmark.h>

#include <array>
#include <functional>
#include <limits>
#include <vector>

#include "bench/stiff_solver.h"
#include "model/fluid/wall_friction.h"
#include "tests/support/drive_row.h"
#include "tests/support/method_of_lines.h"

namespace bench {

inline constexpr double kPressure_pa = 3e5;
inline constexpr double kVoltage_v = 12.0;
inline constexpr double kSpeed_mps = 16.0 / 3.6;
inline constexpr double kAllowed_m = 0.15e-3;
inline constexpr double kPeriod_s = 1.0 / 30.0;
inline constexpr std::array<support::OnOff, 2> kTrain{
    {{1e-3, 17.9e-3}, {1e-3 + kPeriod_s, 17.9e-3 + kPeriod_s}}};
inline constexpr double kEnd_s = 2.0 * kPeriod_s;

double processor_s();

using Bands = std::array<model::BandShape, kTrain.size()>;

Bands bands_of(const std::vector<support::OutletSample>& outlet, const model::RowUnitParams& row);
double distance_m(const Bands& a, const Bands& b);
Bands row_bands(const model::RowUnitParams& row, const model::SolverParams& solver);
double step_of_s(const model::RowUnit& unit);
/// What acts on a row in every step of one train.
std::vector<model::RowStepInput> train_inputs(double step_s);

struct Choice {
  support::LinesSetup setup;
  double error_m = 0.0;
  double work = std::numeric_limits<double>::infinity();  // evaluations times states
};

struct StiffChoice {
  StiffSetup setup;
  double error_m = 0.0;
  double cost_s = std::numeric_limits<double>::infinity();  // of one train
};

/// The reference and the integrators' settings, which serve every comparison of one row.
struct Comparison {
  model::RowUnitParams row;
  Bands wanted;
  std::vector<model::KernelTerm> few_terms;
  Choice general;

  explicit Comparison(model::RowUnitParams given = support::base_row());
};

/// The cheapest setting of the stiff solver that keeps 0.15 mm; its cost stays infinite where there
/// is no solver, or no setting keeps that.
StiffChoice cheapest_stiff(const Comparison& sides);

struct FastChoice {
  model::SolverParams solver;
  double error_m = 0.0;
  double cost_s = std::numeric_limits<double>::infinity();  // of one train
};

FastChoice measured(const model::RowUnitParams& row, const Bands& wanted,
                    const model::SolverParams& solver);
/// What a pass would take for this row: judged on eight pulses of its own, not on the two compared.
model::SolverParams shipped(const model::RowUnitParams& row);

/// Processor seconds of so many trains, one after the other on the same rows.
using Turn = std::function<double(int trains)>;
/// One row, or `rows` rows side by side; the error is that of the worst of their bands.
struct FastSide {
  Turn turn;
  int rows = 1;
  double error_m = 0.0;
};
/// `stiff` joins the turns where its cost is finite.
void compare(benchmark::State& state, const Comparison& sides, const FastSide& fast,
             const StiffChoice& stiff = {});
/// A row alone, as it was chosen.
void compare_alone(benchmark::State& state, const Comparison& sides, const FastChoice& fast,
                   const StiffChoice& stiff = {});

}  // namespace bench
