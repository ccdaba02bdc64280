// Where the rows meet in the supply: one manifold, one battery. Both are exchanged at steps of
// their own, shorter than the slots of frames; between them every row runs alone.
//
//   manifold   model/machine/manifold.h; the controller's set point is that of its relief valve
//   battery    u_row = u - R_common * (sum of the rows' currents) - R_row * i_row: the others'
//              currents are means of the exchange step before, the row's own is that of its last
//              step. A driver draws its coil's current while it drives, and gives it back in fast
//              decay.
//
// State    ManifoldState, the rows' flows and currents of the step before
// Valid    a chopped current limit counts as its full current, which is what the harness carries
//          while the coil is driven; no ripple of the common voltage within an exchange step
// Source   continuity, Ohm
// Checked  tests/sim/bench/supply_exchange_test.cc
#pragma once

#include <span>
#include <vector>

#include "model/machine/manifold.h"
#include "shared/time.h"
#include "sim/bench/supply_line.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

/// What a row meets during one exchange step.
struct SharedSupply {
  RegulatorState regulator;    // without a manifold
  model::ManifoldShare share;  // compliance 0: no manifold
  bool air = false;            // the hoses draw air
  bool sags = false;           // voltage falls with current
  double rows_a = 0.0;         // all rows, mean of the step before
};

/// What a row took in one exchange step.
struct RowDraw {
  double inlet_volume_m3 = 0.0;
  double charge_as = 0.0;  // tidy: unit A s
};

class SupplyExchange {
 public:
  explicit SupplyExchange(const scenario::Scenario& scenario);

  /// Exchange steps in a slot: 1 where nothing is shared.
  int steps_a_slot(shared::Duration slot) const;
  /// Plans the supply of an exchange step, before the rows run.
  SharedSupply plan(const RegulatorState& regulator, double step_s);
  /// Books what the rows drew, in their order. With a manifold the regulator shows its pressure.
  void book(std::span<const RowDraw> draws, double step_s, RegulatorState& regulator);
  const model::ManifoldState& manifold() const { return state_; }

 private:
  const scenario::SupplySection& supply_;
  double rows_ratio_;  // their number
  model::ManifoldState state_;
  model::ManifoldFlows flows_;
  double rows_m3ps_ = 0.0;
  double rows_a_ = 0.0;
};

}  // namespace sim::bench
