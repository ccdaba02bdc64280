// Splits the placement error of one seed into three causes, from the record of its pass alone.
//
//   seed        how far it came to rest behind the place where its row lays a seed without scatter:
//               scatter of delivery time and place of rest, bounce and roll
//   controller  ground covered between the open command that the table gives for the row's true
//               speed and its flow, and the open command that was given, less the row's trim:
//               jitter of the edge, error of the reported speed, clock, late firing, corrections
//               for voltage, viscosity and rest
//   row         the remainder: the row's build with the trim that compensates it, valve, column,
//               jet
//   error = seed + controller + row, positive ahead in travel direction
//
// `budget` switches causes off one by one over many passes and shows more; this needs no further
// pass.
// Checked  tests/sim/study/run/seed_parts_test.cc
#pragma once

#include "sim/study/run/run.h"

namespace sim::run {

struct SeedParts {
  double seed_m = 0.0;
  double controller_m = 0.0;
  double row_m = 0.0;
};

/// The seed must have a band of its own and a placement error.
SeedParts seed_parts(const RunResult& result, int row, int seed);

}  // namespace sim::run
