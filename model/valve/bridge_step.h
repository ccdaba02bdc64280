// What acts on the valve during one step: supply, voltage and the states of the driver's bridge.
//
// Checked  tests/model/valve/coil_test.cc
#pragma once

namespace model {

/// What acts on the row during one step. The shares of the step are the bridge's: drive applies
/// +supply, fast decay -supply (or a clamp's voltage) until the current is zero, reverse -supply;
/// the rest of the step is slow decay (zero volts, or a diode's drop, freewheel).
template <class Real>
struct RowStepInputOf {
  Real supply_pressure_pa{};
  Real supply_voltage_v{};
  Real current_limit_a{};  // ideal current limit while driving; 0 means none
  Real drive_ratio{};
  Real fast_decay_ratio{};
  Real reverse_ratio{};
};

using RowStepInput = RowStepInputOf<double>;

}  // namespace model
