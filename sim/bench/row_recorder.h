// What is kept of one row step by step while it runs: the history and waveform of the watched seed,
// and the signals that requirements over time read.
//
// Frame    bench time from run start; places in the ground frame along the row's own track
// Checked  tests/sim/bench/wave_recorder_test.cc, tests/sim/measure/temporal_test.cc
#pragma once

#include <vector>

#include "sim/bench/seed_way.h"
#include "sim/bench/wave_recorder.h"
#include "sim/measure/record.h"

namespace sim::bench {

/// What happened to the watched seed, gathered while the row runs.
struct WatchRecord {
  bool on = false;
  double from_s = 0.0;
  double until_s = 0.0;
  measure::PulseHistory history;
  std::vector<TimedEvent> events;
};

/// One step of the row, as it ended.
struct RecordedStep {
  shared::Instant start{}, end{};
  const model::RowStepInput& input;
  const model::RowStepOutput& out;
  bool open = false;                // the valve passes liquid
  bool lowered = false;             // by the row's input
  double full_flow_m3ps = 0.0;      // steady flow that was last solved for a pulse
  double landing_x_ground_m = 0.0;  // not-a-number: nothing left
};

class RowRecorder {
 public:
  /// From just before the edge of `seed` until its band lies; `wave`: its waveform too.
  void watch(const SeedWay& way, std::size_t seed, bool wave);
  void bridge(shared::Instant at, const sillion_bridge_command& command) {
    wave_.bridge(at, command);
  }
  void step(const RecordedStep& step, measure::RowSignals& signals);
  void keep_events(std::vector<TimedEvent> events) { watch_.events = std::move(events); }

  const WatchRecord& watched() const { return watch_; }
  std::vector<measure::WaveInstant> wave(const SeedWay& way) const {
    return wave_.instants(way.edges, watch_.events);
  }

 private:
  void keep_history(const RecordedStep& step);

  WatchRecord watch_;
  WaveRecorder wave_;
};

}  // namespace sim::bench
