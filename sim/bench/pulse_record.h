// Collects what the pulses of a train do, pulse by pulse, as they take turns in owning the outlet.
//
// A pulse owns the liquid that leaves the outlet from its on command plus 0.9 L/a of the tube until
// the same time after the next on command. Bands are described as on the ground
// (model/furrow/deposit.h), places relative to the outlet's place at the on command.
// Errors   EXPECTS commands in rising order        State   the pulse that owns the outlet
// Checked  tests/sim/study/tune/tune_test.cc, tests/sim/study/rig/rig_test.cc
#pragma once

#include <vector>

#include "model/furrow/deposit.h"
#include "model/furrow/outlet_jet.h"
#include "model/row/row_unit.h"

namespace sim::bench {

struct PulseCommand {
  double on_s = 0.0;
  double off_s = 0.0;
};

struct PulseGround {
  double speed_mps = 0.0;
  model::JetAim jet;
  double dribble_mps = 0.0;
  double steady_m3ps = 0.0;    // outlet flow while the pulse is fully open
  double owned_after_s = 0.0;  // from an on command to its first liquid at the outlet
};

struct RecordedPulse {
  model::BandShape band;
  double x05_m = 0.0, x95_m = 0.0;  // mass quantiles of the liquid without dribble, as the band's
  double half_up_s = 0.0;      // instant at which half of the steady flow was first reached, and
  double half_down_s = 0.0;    // last fallen below after the command off; not-a-number: never
  int half_falls = 0;          // how often the flow fell below half after the command off
  double jet_speed_mps = 0.0;  // mean by volume
  double largest_lift_m = 0.0;
  double least_lift_after_m = 0.0;  // from its off command until the next pulse owns the outlet
};

class PulseRecord {
 public:
  PulseRecord(std::vector<PulseCommand> commands, const PulseGround& ground);
  void take(double from_s, double to_s, const model::RowStepOutput& out);
  std::vector<RecordedPulse> finish();

 private:
  void close();
  void watch_half(double from_s, double to_s, double flow_m3ps);

  std::vector<PulseCommand> commands_;
  PulseGround ground_;
  model::JetDirection direction_;
  std::vector<RecordedPulse> pulses_;
  std::vector<model::Parcel> parcels_;
  RecordedPulse now_;
  double speed_sum_ = 0.0;  // tidy: unit is m/s times m3
  bool below_five_percent_ = false;
  double last_s_ = 0.0;
  double last_flow_m3ps_ = 0.0;
};

}  // namespace sim::bench
