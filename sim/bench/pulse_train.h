// A train of equal pulses through one row at constant ground speed and pressure, without noise: the
// behaviour of the row alone.
//
//   pulse k: on at (k + scatter z_k) * period, off on_time later; z are 16 fixed normal scores
//   lead = (start - x_outlet(on)) / v     lag = (end - x_outlet(off)) / v     flight included
//
// The scores give the column an irregular sequence without a random draw: an even train can excite
// the column in resonance, as no field does. Bands are described as on the ground
// (model/furrow/deposit.h).
//
// Errors   BenchError when the model leaves its physical range
// Checked  tests/sim/study/tune/tune_test.cc
#pragma once

#include <functional>
#include <limits>
#include <vector>

#include "model/furrow/deposit.h"
#include "model/furrow/outlet_jet.h"
#include "model/row/row_unit.h"
#include "model/row_params.h"

namespace sim::bench {

struct PulseTrain {
  double pressure_pa = 3e5;
  double voltage_v = 12.6;
  double current_limit_a = 0.0;
  double ground_speed_mps = 4.4444444444444446;
  double on_time_s = 16.9e-3;
  double period_s = 33.75e-3;
  double scatter_ratio = 0.0;  // sd of each on command, over the period
  // From an off command to the next on command; the row would merge closer ones. 0: to find that
  // gap.
  double least_gap_s = 2e-3;
  int pulses = 1;
  bool fast_decay = true;  // false: the current freewheels from each off command
  model::JetAim jet;
};

struct TrainPulse {
  model::BandShape band;  // places relative to the outlet's place at the on command
  double lead_s = 0.0;
  double lag_s = 0.0;
  double largest_lift_m = 0.0;
  // from its on command to the plunger's first touch of its stop; not-a-number: it came to none, or
  // was still up
  double opening_s = std::numeric_limits<double>::quiet_NaN();
  // from its off command until the next on command takes effect
  double least_lift_after_m = 0.0;
  // in both lines, from its on command until the next one
  double largest_vapour_m3 = 0.0;
};

/// Called for every step of a train: from, to, and what the row did in it.
using TrainWatch = std::function<void(double from_s, double to_s, const model::RowStepOutput& out)>;

std::vector<TrainPulse> run_train(const model::RowUnitParams& row,
                                  const model::SolverParams& solver, const PulseTrain& train,
                                  const TrainWatch& watch = {});
/// A unit that takes several trains of one row: the decay of its friction (kernel_fit.cc of
/// model/fluid) is then fitted once.
model::RowUnit unit_for_trains(const model::RowUnitParams& row, const model::SolverParams& solver);
/// As above, on such a unit of that row, which comes to rest first.
std::vector<TrainPulse> run_train(model::RowUnit& unit, const model::RowUnitParams& row,
                                  const PulseTrain& train, const TrainWatch& watch = {});

}  // namespace sim::bench
