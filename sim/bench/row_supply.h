// What one row gets from the supply, and what it takes from it: pressure of regulator or manifold
// with the pump's ripple, voltage behind the harness, and the volume and charge that are booked.
//
// State    the slot's supply line, the manifold's share, the driver's current
// Checked  tests/sim/bench/pass_supply_test.cc
#pragma once

#include <utility>

#include "sim/bench/row_plant.h"
#include "sim/bench/supply_exchange.h"
#include "sim/bench/supply_line.h"

namespace sim::bench {

class RowSupply {
 public:
  RowSupply(const scenario::Scenario& scenario, double ripple_phase_rad)
      : scenario_(scenario), ripple_phase_rad_(ripple_phase_rad) {}

  /// Begins a slot, or an exchange step in it; the row stands at `now` and moves by `step`.
  void begin_slot(const SharedSupply& shared, const scenario::PlantSeam& seam, shared::Instant now,
                  shared::Duration step);
  /// Before a step, where a manifold is shared: sets the pressure of that step.
  void draw_from_manifold(RowPlant& plant, const model::RowStepOutput& last);
  /// After a step: books what the row took in it.
  void book(const model::RowStepInput& input, const model::RowStepOutput& out, double step_s);
  void next_step() { line_.next_step(); }
  /// The slot of `slot_s` is over, in which the row moved on by `ran_s`.
  void end_slot(double ran_s, double slot_s);
  double drawn_j() const { return drawn_j_; }  // since the start
  RowDraw take_draw() { return std::exchange(draw_, {}); }

  const SupplyLine& line() const { return line_; }
  double pressure_pa() const { return line_.pressure_pa(); }
  double driver_voltage_v() const;
  bool brings_air() const { return shared_.air; }

 private:
  const scenario::Scenario& scenario_;
  double ripple_phase_rad_;
  SupplyLine line_;
  SharedSupply shared_{};
  double sag_ratio_ = 1.0;  // of the pressure at this hose: a fault
  RowDraw draw_{};
  double drawn_j_ = 0.0;
  double own_a_ = 0.0;       // what the driver draws just now
  double own_mean_a_ = 0.0;  // in the exchange step before
};

}  // namespace sim::bench
