// What acts on the valve during one step: supply, voltage and the states of the driver's bridge.
//
// Checked  tests/model/valve/coil_test.cc
#pragma once

namespace model {

/// What acts on the row during one step. The shares of the step are the bridge's: drive applies
/// +supply, fast decay -supply (or a clamp's voltage) until the current is zero, reverse -supply;
/// the rest of the step is slow decay (zero volts, or a diode's drop, freewheel).
struct RowStepInput {
  double supply_pressure_pa = 0.0;
  double supply_voltage_v = 0.0;
  double current_limit_a = 0.0;  // ideal current limit while driving; 0 means none
  double drive_ratio = 0.0;
  double fast_decay_ratio = 0.0;
  double reverse_ratio = 0.0;
};

}  // namespace model
