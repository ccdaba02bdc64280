// One row that runs as a co-simulation unit: its liquid path on its own step, driven by the unit's
// inputs, alone or with its controller.
//
//   grid      the row takes whole steps of its own, from time 0 on. It has come to an instant when
//             no whole step is left before it, so it stands up to one step behind
//   commands  a command or a seed edge acts at the instant at which it was set, as a share of the
//             step around it, whether or not that instant lies on the grid
//   levels    pressure, voltage, plug and inputs hold from the first step that begins after they
//             were set
//   rest      the row begins with liquid at rest behind a shut valve, at the supply pressure that
//             is set when it begins
//   coil      its own heat moves its resistance every 10 ms, where the valve states that it does
//
// Two instances share nothing.
// Errors   BenchError with instant and state when the row leaves physics; ControllerError;
//          InputError of values that no row has
// Checked  tests/sim/study/unit/row_instance_test.cc, tests/sim/study/unit/imported_unit_test.cc
#pragma once

#include <memory>
#include <optional>

#include "model/machine/flow_meter.h"
#include "sim/bench/bridge_drive.h"
#include "sim/bench/row_plant.h"
#include "sim/study/unit/row_controllers.h"
#include "sim/study/unit/unit_contents.h"

namespace sim::unit {

class RowInstance {
 public:
  RowInstance(const UnitContents& contents, const UnitInputs& start);
  RowInstance(const RowInstance&) = delete;
  RowInstance& operator=(const RowInstance&) = delete;

  shared::Duration step_length() const { return step_; }
  /// To where the row has been computed.
  shared::Instant now() const { return now_; }
  /// The inputs from `at` on, which is not before now() nor before what was set last.
  void set(const UnitInputs& inputs, shared::Instant at);
  /// Takes every whole step that ends by `until`.
  void advance(shared::Instant until);
  const UnitOutputs& outputs() const { return outputs_; }

 private:
  void begin_slot();
  void take_step();
  void turn_bridge(model::RowStepInput& input);
  void take_outputs(const model::RowStepOutput& out);
  void command(bool on, shared::Instant at);

  UnitContents contents_;
  scenario::Scenario plant_scenario_;  // whose lowest pressure is that of the rest at the start
  bench::RowFixed fixed_;
  std::unique_ptr<bench::RowPlant> plant_;
  bench::BridgeDrive bridge_;
  std::optional<RowControllers> controllers_;
  UnitInputs inputs_;
  UnitOutputs outputs_;
  shared::Instant now_{};
  shared::Duration step_{};
  shared::Instant slot_end_{};
  shared::Instant slot_ran_from_{};
  model::RowStepOutput last_{};
  model::FlowMeterState meter_;
  shared::Instant meter_last_{};
};

}  // namespace sim::unit
