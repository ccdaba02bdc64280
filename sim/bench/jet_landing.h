// [8] Where on the ground the liquid lands that left a row's outlet in one step: the outlet's place
// on the machine, the jet's reach from the height at which the row rides, and the machine's own
// motion.
//
//   Outlet and jet lie on the tangent of the row's track at the drop point, a distance d ahead of
//   it. Where the row turns on a circle of radius R, the foot of that point on the track is
//   R atan(d/R) ahead, and the point lies sqrt(R^2 + d^2) - R outside the track.
//
// Frame    ground, along the row's own track
// Valid    the curvature of that instant holds over d: d is some centimetres
// State    the ride's draws between two knots of the ground
// Checked  tests/sim/bench/jet_landing_test.cc, tests/sim/bench/pass_test.cc
#pragma once

#include "model/furrow/outlet_jet.h"
#include "model/machine/travel.h"
#include "model/row/row_unit.h"
#include "shared/time.h"
#include "sim/bench/random.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

struct LandingPlace {
  double x_ground_m = 0.0;  // along the row's own track
  double outward_m = 0.0;   // from the track, away from the centre of the curve; 0 where straight
};
/// The place that lies `ahead_m` along the tangent of a track from a point of it at `x_ground_m`.
LandingPlace on_tangent(double x_ground_m, double ahead_m, double speed_mps, double yaw_rate_radps);

class JetLanding {
 public:
  /// All but `stream` outlive it.
  JetLanding(const scenario::Scenario& scenario, const model::Travel& travel, const RowFixed& fixed,
             const RandomStream& stream);

  /// Place of what left in the step that began at `start`, as of the middle of the step.
  LandingPlace place(shared::Instant start, shared::Duration step, const model::RowStepOutput& out);
  const model::Travel& travel() const { return travel_; }

 private:
  double drop_height_m(double x_ground_m);

  const scenario::Scenario& scenario_;
  const model::Travel& travel_;
  const RowFixed& fixed_;
  RandomStream stream_;
  model::JetDirection direction_;
  bool curves_;
  double knot_ratio_[2] = {};
  long long knot_ = -1;
};

}  // namespace sim::bench
