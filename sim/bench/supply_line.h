// Pressure and voltage as every row meets them: the regulator follows its set point with a lag, a
// pump ripple rides on it.
//
//   dp/dt = (p_set - p) / lag
//   p_row(t) = p (1 + ripple sin(2 pi f t + phase))     u(t) = u0 + r sin(2 pi f t + phase)
//
// The two sines are turned by one rotation per step (no call of a sine in the loop) and set anew at
// every slot.
// State    set point and regulator pressure of the machine, advanced at slot ends only, so that all
//          rows see the same
// Source   ripple sizes are the scenario's [noise]
// Checked  tests/sim/bench/supply_line_test.cc
#pragma once

#include "sim/scenario/scenario.h"

namespace sim::bench {

/// The machine's regulator at a slot's start; its law is model/machine/supply.h.
struct RegulatorState {
  double setpoint_pa = 0.0;
  double pressure_pa = 0.0;
};

/// Advances the regulator over a slot at a constant set point.
void advance_regulator(RegulatorState& regulator, const scenario::SupplySection& supply,
                       double slot_s);

/// A sine that is turned step by step.
struct TurningSine {
  double sine_ratio = 0.0, cosine_ratio = 1.0;
  double step_sine_ratio = 0.0, step_cosine_ratio = 1.0;
  void turn() {
    const double next_ratio = sine_ratio * step_cosine_ratio + cosine_ratio * step_sine_ratio;
    cosine_ratio = cosine_ratio * step_cosine_ratio - sine_ratio * step_sine_ratio;
    sine_ratio = next_ratio;
  }
};
TurningSine turning_sine(double frequency_hz, double phase_rad, double time_s, double step_s);

/// What one row meets within a slot, step by step.
class SupplyLine {
 public:
  void start_slot(const scenario::Scenario& scenario, const RegulatorState& regulator,
                  double voltage_ratio, double phase_rad, double time_s, double step_s);
  void next_step();
  /// A supply that does not move within a slot.
  static SupplyLine steady(double pressure_pa, double voltage_v) {
    SupplyLine line;
    line.setpoint_pa_ = line.smooth_pa_ = pressure_pa;
    line.mean_v_ = voltage_v;
    return line;
  }
  /// With a manifold: sets its pressure at this row, which holds until the next call.
  void hold_pa(double smooth_pa) { setpoint_pa_ = smooth_pa_ = smooth_pa; }
  double ripple_over_smooth_ratio() const {
    return 1.0 + ripple_ratio_ * pressure_sine_.sine_ratio;
  }
  double smooth_pressure_pa() const { return smooth_pa_; }  // without ripple
  double pressure_pa() const {
    return smooth_pa_ * (1.0 + ripple_ratio_ * pressure_sine_.sine_ratio);
  }
  double voltage_v() const { return mean_v_ + ripple_v_ * voltage_sine_.sine_ratio; }

 private:
  double setpoint_pa_ = 0.0, smooth_pa_ = 0.0, keep_ratio_ = 1.0, ripple_ratio_ = 0.0;
  double mean_v_ = 0.0, ripple_v_ = 0.0;
  TurningSine pressure_sine_, voltage_sine_;
};

}  // namespace sim::bench
