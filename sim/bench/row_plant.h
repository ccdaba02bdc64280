// What stands between bridge and ground in one row, behind one step: the full physics of valve,
// lines and outlet (full_row.cc), or an ideal row whose flow starts and ends after stated delays
// (ideal_row.cc). The bench around it is the same for both.
//
// Checked  tests/sim/bench/pass_test.cc
#pragma once

#include <memory>
#include <optional>

#include "model/machine/manifold.h"
#include "model/machine/travel.h"
#include "model/row/row_unit.h"
#include "shared/time.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/faults/catalog.h"
#include "sim/scenario/scenario.h"

namespace sim::bench {

class RowPlant {
 public:
  virtual ~RowPlant() = default;

  virtual shared::Duration step_length() const = 0;
  /// How long after an on command the outlet still passes the liquid of the pulse before.
  virtual double owned_after_s() const = 0;
  /// Volume stored above a still state; nothing where the row has no column.
  virtual std::optional<double> stored_volume_m3() const = 0;
  /// Steady flow with the valve wholly open, at a supply pressure and an instant of the drive.
  virtual double steady_flow_m3ps(double supply_pressure_pa, shared::Instant at) const = 0;
  /// Whether the valve passes liquid after a step with this output.
  virtual bool open(const model::RowStepOutput& out) const = 0;

  /// The faults of the scenario that lie in the row itself.
  virtual void take_faults(const scenario::PlantSeam& seam) = 0;
  virtual void commanded_on(shared::Instant at, double supply_pressure_pa) = 0;
  virtual void commanded_off(shared::Instant at) = 0;
  /// The liquid path, where it has one that can step in lanes instead of by step().
  virtual model::RowUnit* unit() { return nullptr; }
  /// Moves on by one step; `full_flow_m3ps` is the steady flow that the bench goes by.
  virtual model::RowStepOutput step(shared::Instant start, const model::RowStepInput& input,
                                    double full_flow_m3ps) = 0;
  /// Books what a step from `start` on did, whoever stepped.   Errors BenchError of a row that left
  /// physics
  virtual void took(shared::Instant start, const model::RowStepOutput& out) = 0;
  /// The manifold's share and the hose together give the pressure of the step that comes.
  virtual void draw_from(model::ManifoldShare& share, double ripple_ratio,
                         double last_inlet_volume_m3) = 0;
  /// A slot is over in which the row moved on by `ran_s`.
  virtual void end_slot(double ran_s) = 0;
};

/// `fixed`, `scenario` and `travel` outlive the plant.
std::unique_ptr<RowPlant> make_full_row(const scenario::Scenario& scenario, const RowFixed& fixed,
                                        int row);
std::unique_ptr<RowPlant> make_ideal_row(const scenario::Scenario& scenario,
                                         const model::Travel& travel);

}  // namespace sim::bench
