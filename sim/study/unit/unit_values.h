// The inputs, parameters and outputs of a co-simulation unit as values.
//
// Checked  tests/sim/study/unit/imported_unit_test.cc
#pragma once

#include <cstdint>

namespace sim::unit {

struct UnitInputs {
  double supply_pressure_pa = 0.0;  // gauge, at the row's hose
  double supply_voltage_v = 0.0;    // at the driver
  double outlet_plugged_ratio = 0.0;
  // Row alone
  bool command = false;          // the bridge drives the coil
  bool fast_decay = true;        // parameter: how the bridge lets the current down
  double current_limit_a = 0.0;  // parameter: 0 none
  // Row with its controller
  bool seed_sensor = false;  // a seed covers the beam
  double ground_speed_mps = 0.0;
  bool lowered = true;
};

struct UnitOutputs {
  double time_s = 0.0;            // to which the row has been computed
  double outlet_flow_m3ps = 0.0;  // mean of the last internal step, as are speed and pressure
  double jet_speed_mps = 0.0;     // 0 when no liquid leaves
  double coil_current_a = 0.0;    // at the end of that step, as is the lift
  double lift_m = 0.0;            // of the plunger off its seat
  double valve_exit_pressure_pa = 0.0;
  double stored_volume_m3 = 0.0;  // above a still state
  double total_volume_m3 = 0.0;   // out of the outlet since the start
  // Row with its controller
  bool driven = false;        // the bridge drives the coil at the end of the last step
  std::int32_t openings = 0;  // commands on since the start
  double last_on_s = -1.0;    // instant of the last command on; before the first: -1
  double last_off_s = -1.0;
  bool safe_closed = false;
  std::int32_t last_alarm = 0;        // bits of enum sillion_alarm that came last; 0: none yet
  double pressure_setpoint_pa = 0.0;  // that the machine's controller gives the regulator
};

}  // namespace sim::unit
