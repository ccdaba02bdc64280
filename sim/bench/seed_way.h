// Every seed of one row before the controller acts: released by the meter, seen by the sensor,
// carried to rest. None of it depends on what the controller does, so it is laid out once, before
// the liquid moves.
//
// [1] meter releases -> [2] sensor edge (faults may bend it) -> [3] delivery carries it to its
// place of rest
//
// Frame    ground, along the row's own track
// Checked  tests/sim/bench/seed_way_test.cc
#pragma once

#include <vector>

#include "model/machine/travel.h"
#include "sim/bench/random.h"
#include "sim/bench/row_fixed.h"
#include "sim/measure/record.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// An edge pair as the controller's capture input gets it.
struct EdgePair {
  double rising_s = 0.0;
  double falling_s = 0.0;
  int seed = -1;  // the seed that raised it; -1: no seed behind it. The controller never sees this
};

struct SeedWay {
  std::vector<measure::SeedRecord> seeds;  // in order of release
  std::vector<double> delivery_s;          // T_del of each
  std::vector<EdgePair> edges;             // in order of time
  std::vector<double> rest_sorted_m;       // places of rest, rising
  double last_rest_s = 0.0;                // when the last of them has come to rest
};

/// Warm-up at the start of a run, in which the controller hears its first speeds and no seed
/// passes.
inline constexpr double kWarmUp_s = 1.5;

SeedWay lay_out_seeds(const scenario::Scenario& scenario, const model::Travel& travel,
                      const RowFixed& row, const RandomStream& stream, int row_index);
/// The seeds behind edges that were recorded: each passes the sensor when its edge rises.
SeedWay lay_out_recorded(const scenario::Scenario& scenario, const model::Travel& travel,
                         const RowFixed& row, const RandomStream& stream, int row_index,
                         const std::vector<EdgePair>& edges);
/// The same for edges that follow those of `way`; the first of them is seed number `first`.
void lay_out_more(const scenario::Scenario& scenario, const model::Travel& travel,
                  const RowFixed& row, const RandomStream& stream, int row_index,
                  const std::vector<EdgePair>& edges, std::uint64_t first, SeedWay& way);
/// Leaves out the first `count` seeds.
void let_go_of_seeds(SeedWay& way, std::size_t count);

}  // namespace sim::bench
