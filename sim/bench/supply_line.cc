#include "sim/bench/supply_line.h"

#include <algorithm>

#include "model/machine/supply.h"
#include "model/reproducible_math.h"
#include "shared/units.h"

namespace sim::bench {
namespace {

double keep_over_ratio(double time_s, double lag_s) {
  return lag_s > 0.0 ? model::exp_of(-time_s / lag_s) : 0.0;
}

}  // namespace

void advance_regulator(RegulatorState& regulator, const scenario::SupplySection& supply,
                       double slot_s) {
  const model::Regulator law{.min_pa = supply.pressure_min_pa,
                             .max_pa = supply.pressure_pa,
                             .lag_s = supply.pressure_lag_s};
  regulator.setpoint_pa = std::clamp(regulator.setpoint_pa, law.min_pa, law.max_pa);
  regulator.pressure_pa =
      model::regulated_pa(regulator.pressure_pa, regulator.setpoint_pa, slot_s, law);
}

TurningSine turning_sine(double frequency_hz, double phase_rad, double time_s, double step_s) {
  const double angular_radps = 2.0 * shared::kPi_ratio * frequency_hz;
  const double angle_rad = angular_radps * time_s + phase_rad;
  return {.sine_ratio = model::sin_of(angle_rad),
          .cosine_ratio = model::cos_of(angle_rad),
          .step_sine_ratio = model::sin_of(angular_radps * step_s),
          .step_cosine_ratio = model::cos_of(angular_radps * step_s)};
}

void SupplyLine::start_slot(const scenario::Scenario& scenario, const RegulatorState& regulator,
                            double voltage_ratio, double phase_rad, double time_s, double step_s) {
  const scenario::NoiseSection& noise = scenario.noise;
  setpoint_pa_ = regulator.setpoint_pa;
  smooth_pa_ = regulator.pressure_pa;
  keep_ratio_ = keep_over_ratio(step_s, scenario.supply.pressure_lag_s);
  ripple_ratio_ = noise.pressure_ripple_ratio;
  mean_v_ = scenario.supply.voltage_v * voltage_ratio;
  ripple_v_ = noise.voltage_ripple_v;
  pressure_sine_ = turning_sine(noise.pressure_ripple_hz, phase_rad, time_s, step_s);
  voltage_sine_ = turning_sine(noise.voltage_ripple_hz, phase_rad, time_s, step_s);
}

void SupplyLine::next_step() {
  smooth_pa_ = setpoint_pa_ + (smooth_pa_ - setpoint_pa_) * keep_ratio_;
  pressure_sine_.turn();
  voltage_sine_.turn();
}

}  // namespace sim::bench
