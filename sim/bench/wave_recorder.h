// One row's waveform over a window, gathered while the row runs: bridge changes, sensor edges and
// the controller's events at their own instants, the plant at the end of each of its steps.
//
//   current, lift, pressures   as of that instant
//   flows, landing             mean of the step that ended there
//
// Frame    bench time from run start; places in the ground frame along the row's own track
// Errors   none
// Checked  tests/sim/bench/wave_recorder_test.cc
#pragma once

#include <vector>

#include "model/row/row_unit.h"
#include "sim/bench/controller_port.h"
#include "sim/measure/waveform.h"

namespace sim::bench {

/// What the plant was given and did in one step.
struct WaveStep {
  shared::Instant end{};
  double supply_pressure_pa = 0.0;
  double supply_voltage_v = 0.0;
  bool lowered = false;
  double landing_x_ground_m = 0.0;  // not-a-number: nothing leaves
};

class WaveRecorder {
 public:
  WaveRecorder() = default;
  WaveRecorder(shared::Instant from, shared::Instant until) : from_(from), until_(until) {}

  void bridge(shared::Instant at, const sillion_bridge_command& command);
  void step(const WaveStep& step, const model::RowStepOutput& out);
  /// In order of time, one for each change; `edges` and `events` may reach beyond the window.
  std::vector<measure::WaveInstant> instants(const std::vector<EdgePair>& edges,
                                             const std::vector<TimedEvent>& events) const;

 private:
  struct Bridge {
    shared::Instant at{};
    sillion_bridge_command command{};
  };
  bool within(shared::Instant at) const { return !(at < from_) && !(until_ < at); }

  shared::Instant from_{}, until_{-1};
  sillion_bridge_command before_{};  // the last change ahead of the window
  std::vector<Bridge> bridges_;
  std::vector<measure::WaveInstant> steps_;
};

}  // namespace sim::bench
