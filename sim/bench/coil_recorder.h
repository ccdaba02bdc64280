// What a row's coil does through a pass: samples of its current, and when its plunger came to its
// stop.
//
//   sample k  at k periods from bench time 0, on the straight line between the currents at the ends
//             of the plant's step
//   stop      the first step in which a plunger that has risen beyond 0.9 of its travel rises no
//             further; it was below half of it since the command. To one step of the plant
//
// Errors   none
// Checked  tests/sim/study/score/current_test.cc
#pragma once

#include "shared/time.h"
#include "sim/measure/record.h"

namespace sim::bench {

class CoilRecorder {
 public:
  CoilRecorder() = default;
  /// `step_s`: between samples; 0: none are kept.
  CoilRecorder(double step_s, double travel_m, measure::CoilRecord& record);

  /// The bridge goes over to DRIVE.
  void begin(shared::Instant at);
  /// A step of the plant, with current at both ends and lift at its end.
  void step(shared::Instant from, shared::Instant to, double from_a, double to_a, double lift_m);

 private:
  measure::CoilRecord* record_ = nullptr;  // null: nothing is asked for
  double travel_m_ = 0.0;
  double before_m_ = 0.0;
  bool waits_ = false;  // for the stop of the newest pulse
  bool rises_ = false;  // it was low since the command
  std::int64_t samples_ = 0;
};

}  // namespace sim::bench
