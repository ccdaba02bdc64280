// Whose the placement error of one seed is, from the record of its pass alone.
//
//   seed        how far behind the place at which its row lays a seed without scatter it came to
//               rest: scatter of delivery time and place of rest, bounce and roll
//   controller  ground covered between the open command that the table asks for at the row's true
//               speed and the flow that goes with it, and the one that was given: the edge's
//               jitter, speed as it was heard, clock, late firing, corrections for voltage,
//   viscosity, rest row         the rest: the row's build with the trim that answers to it, valve,
//   column and jet error = seed + controller + row, positive ahead in travel direction
//
// `budget` switches causes off one by one over many passes and tells more; this tells at once.
// Checked  tests/sim/study/run/seed_parts_test.cc
#pragma once

#include "sim/study/run/run.h"

namespace sim::run {

struct SeedParts {
  double seed_m = 0.0;
  double controller_m = 0.0;
  double row_m = 0.0;
};

/// The seed has a band of its own and a placement error.
SeedParts seed_parts(const RunResult& result, int row, int seed);

}  // namespace sim::run
