// When a controller is off and starts again.
//
//   causes   restarts and supply dips of the scenario, the watchdog, a power loss in the middle of
//            a storage write. With a lost supply (causes power and brown-out) the storage stops too
//   off      from the restart's instant, for as long as the restart says: nothing is called, the
//            bridge lets the coil's current die away, edges and frames are lost
//   start    with the cause and the retained memory that the restart says
//   watchdog without a kick for controller.watchdog the controller is reset: off for kStartTime_s
//            (sim/scenario/faults/seam.h), cause watchdog, memory kept. It runs from the first kick
//            after a start on, as on parts whose program starts it and cannot stop it again; a
//            controller that never kicks has none
//   hidden   a kick that a fault hides does not count
//
// A restart that comes while the controller is off already adds nothing.
// Errors   none
// Checked  tests/sim/bench/controller_life_test.cc
#pragma once

#include <vector>

#include "shared/time.h"
#include "sim/bench/controller_port.h"
#include "sim/measure/row_signals.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// Whether a fault of the scenario hides kicks of the watchdog: then each answer has to be seen.
bool hides_kicks(const scenario::Scenario& scenario);

class ControllerLife {
 public:
  /// Row kMachine: the machine's controller.
  ControllerLife(const scenario::Scenario& scenario, int row);

  /// The next instant at which it goes off or starts.
  shared::Instant next() const { return next_; }
  /// Does what is due at next(); what the bridge does is appended to `changes`.
  void act(ControllerPort& port, std::vector<BridgeChange>& changes);
  /// Call after every answer of the controller.
  void answered(const ControllerPort& port);
  /// Spans in which it was off, the last one open at the end where it still is.
  std::vector<measure::OnInterval> off_until(double end_s) const;

 private:
  void find_next();
  scenario::Restart due_now();
  void start_again(ControllerPort& port);

  const scenario::Scenario& scenario_;
  int row_;
  shared::Duration watchdog_{};
  bool hides_kicks_ = false;
  std::vector<scenario::Restart> restarts_;
  std::size_t next_restart_ = 0;
  bool off_ = false;
  scenario::Restart now_off_;
  shared::Instant cut_at_ = kNoCut;  // the power fails in the middle of a write
  shared::Duration cut_off_{};
  bool watched_ = false;  // the first kick has come
  shared::Instant seen_kick_{};
  shared::Instant next_{};
  std::vector<measure::OnInterval> offs_;
};

}  // namespace sim::bench
