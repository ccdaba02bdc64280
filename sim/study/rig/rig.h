// One run of a rig setup: histories, pulse figures, steady flow and the balance of volume.
//
//   lead, lag   command on (off) to half of the steady outlet flow, rising (falling), without
//               flight; where the flow comes back after off, lag is that of its last fall
//   band        places in travel direction from where the outlet was at the on command, flight
//               included (model/furrow/deposit.h); x05, x95 are mass quantiles of the same liquid,
//               without dribble
//   A trapezoid of an ideal inlet counts as commanded on where its rise starts, off where its fall
//   starts.
//   balance     in - out = change of stored volume, whatever the waves do
//
// Histories: flows and pressures are means of a step and belong to its middle; states (lift,
// current, cavity, void) belong to its end. Values at recorded instants are interpolated linearly.
// Errors   BenchError with instant and place when the model leaves physics or diverges
// Checked  tests/sim/study/rig/rig_test.cc, tests/published/
#pragma once

#include <atomic>
#include <optional>
#include <vector>

#include "sim/bench/line_form.h"
#include "sim/study/rig/rig_series.h"
#include "sim/study/rig/rig_setup.h"

namespace sim::rig {

struct RigPulse {
  double on_s = 0.0, off_s = 0.0;
  double lead_s = 0.0, lag_s = 0.0;  // not-a-number: the flow never passed half of the steady one
  double flight_s = 0.0;             // at the mean speed of the pulse's jet
  double mass_kg = 0.0, volume_m3 = 0.0;
  double x05_m = 0.0, x95_m = 0.0;
  double start_x_m = 0.0, end_x_m = 0.0, centroid_x_m = 0.0;
  double secondary_ratio = 0.0;
  double half_falls_ratio = 0.0;  // a count: falls below half of the steady flow after off
};

struct RigBalance {
  double in_m3 = 0.0, out_m3 = 0.0, stored_m3 = 0.0;
  double passed_m3 = 0.0;  // through both ends, in either direction
  double residual_m3() const { return in_m3 - out_m3 - stored_m3; }
  double residual_ratio() const;  // of the volume that passed
};

struct RigFit {
  double step_s = 0.0;
  double hose_cells = 0.0;  // counts: of a row not whole
  double tube_cells = 0.0;
};

/// What a chopper's clock does to the last pulse, against an ideal limit at the same current.
struct RigChopping {
  double least_a = 0.0, most_a = 0.0, mean_a = 0.0;  // ends of steps, last four periods driven
  double start_moved_m = 0.0, end_moved_m = 0.0;     // of the band
};

struct RigResult {
  RigSetup setup;
  RigFit fit;
  bench::FormChoice form;  // judged only where the setup leaves it open
  RigSeries series;
  std::vector<RigPulse> pulses;
  double steady_flow_m3ps = 0.0;  // valve or inlet fully open
  RigBalance balance;
  double simulated_s = 0.0;
  std::optional<RigChopping> chopping;  // where valve.coil.chop is stated
};

RigResult run_rig(const RigSetup& setup, const std::atomic<bool>* stop = nullptr);

}  // namespace sim::rig
