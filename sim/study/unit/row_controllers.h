// The row's own controller and the machine's above it, as a unit calls them: in this process, over
// ports as in a pass, with seed edges and speed that come while they run.
//
//   slot     machine and row hand frames over every 10 ms, as in a pass: what the machine sends
//            within a slot reaches the row at the next one. The machine runs its slot at the slot's
//            start, with speed and inputs as they stand then
//   speed    on the bus at every noise.speed_period of the scenario, without lag, noise and yaw:
//            these are for whoever sets the input
//   one row  of the machine's rows only this one is here; the machine hears no other
//
// Errors   ControllerError of what a controller does that the interface does not have
// Checked  tests/sim/study/unit/imported_unit_test.cc
#pragma once

#include <memory>
#include <vector>

#include "sim/bench/bridge_drive.h"
#include "sim/bench/controller_life.h"
#include "sim/bench/controller_port.h"
#include "sim/bench/current_burst.h"
#include "sim/study/unit/unit_contents.h"

namespace sim::unit {

class RowControllers {
 public:
  /// `contents` outlives it.
  RowControllers(const UnitContents& contents, const bench::RowFixed& fixed);
  RowControllers(const RowControllers&) = delete;
  RowControllers& operator=(const RowControllers&) = delete;

  /// The beam is covered, or free again, at an instant that no call has passed.
  void edge(shared::Instant at, bool covered);
  /// Ends the slot before and begins the next one, which starts at `start`.
  void begin_slot(shared::Instant start, const UnitInputs& inputs);
  /// Makes the row's calls that are due before `until`; what the bridge does is appended.
  void run_until(shared::Instant until, const UnitInputs& inputs, bench::PlantView plant,
                 std::vector<bench::BridgeChange>& changes);
  void driven(shared::Instant at) { burst_.begin(at); }
  void stepped(shared::Instant from, shared::Instant to, double from_a, double to_a) {
    burst_.step(from, to, from_a, to_a);
  }
  shared::Duration pwm_period() const { return pwm_period_; }
  /// Takes up what the controllers reported since the last call.
  void report(UnitOutputs& outputs);

 private:
  void run_machine(shared::Instant start, const UnitInputs& inputs);

  const UnitContents& contents_;
  std::unique_ptr<bench::ControllerHost> host_;
  bench::ControllerPort row_;
  bench::ControllerPort machine_;
  bench::ControllerLife row_life_;
  bench::ControllerLife machine_life_;
  bench::BurstRecorder burst_;
  shared::Duration pwm_period_{};
  std::vector<bench::SentFrame> to_row_;
  long long next_sample_ = 0;  // of the speed on the bus
  bool began_ = false;
};

}  // namespace sim::unit
