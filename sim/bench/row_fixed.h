// What differs from row to row and stays fixed for a run: mounts, bores, lengths, coils, springs,
// clocks.
//
// Input    the nominal scenario and the row's random stream
// Output   this row's own parameters
// Source   sizes of the scatter are the scenario's [noise], this project's assumption
// Checked  tests/sim/bench/row_fixed_test.cc
#pragma once

#include "model/row_params.h"
#include "sim/bench/random.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

struct RowFixed {
  double y_unit_m = 0.0;        // right of the machine's middle
  double outlet_shift_m = 0.0;  // mount error, forward positive
  double sensor_shift_m = 0.0;  // sensor further up: longer way to the furrow
  double clock_drift_ratio = 0.0;
  model::RowUnitParams liquid_path;  // of this row
};

model::RowUnitParams nominal_liquid_path(const scenario::Scenario& scenario);
RowFixed nominal_row(const scenario::Scenario& scenario, int row);
RowFixed drawn_row(const scenario::Scenario& scenario, int row);

}  // namespace sim::bench
