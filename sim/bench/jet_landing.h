// [8] Where on the ground the liquid lands that left a row's outlet in one step: the outlet's place
// on the machine, the jet's reach from the height at which the row rides, and the machine's own
// motion.
//
// Frame    ground, along the row's own track
// State    the ride's draws between two knots of the ground
// Checked  tests/sim/bench/pass_test.cc
#pragma once

#include "model/machine/travel.h"
#include "model/row/row_unit.h"
#include "shared/time.h"
#include "sim/bench/random.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

class JetLanding {
 public:
  /// All but `stream` outlive it.
  JetLanding(const scenario::Scenario& scenario, const model::Travel& travel, const RowFixed& fixed,
             const RandomStream& stream)
      : scenario_(scenario), travel_(travel), fixed_(fixed), stream_(stream) {}

  /// Place of what left in the step that began at `start`, as of the middle of the step.
  double x_ground_m(shared::Instant start, shared::Duration step, const model::RowStepOutput& out);

 private:
  double drop_height_m(double x_ground_m);

  const scenario::Scenario& scenario_;
  const model::Travel& travel_;
  const RowFixed& fixed_;
  RandomStream stream_;
  double knot_ratio_[2] = {};
  long long knot_ = -1;
};

}  // namespace sim::bench
