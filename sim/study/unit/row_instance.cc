#include "sim/study/unit/row_instance.h"

#include <cmath>

#include "model/denormals.h"
#include "sim/bench/running_pass.h"
#include "sim/text/input_error.h"

namespace sim::unit {
namespace {

constexpr std::uint16_t kFullDuty_q15 = 32'768;

void require_input(bool good, const char* what) {
  if (!good) throw text::InputError(what);
}

void require_inputs(const UnitInputs& inputs) {
  require_input(inputs.supply_pressure_pa >= 0.0 && inputs.supply_pressure_pa <= 1e8,
                "supply_pressure: must be 0 to 1e8 Pa");
  require_input(std::abs(inputs.supply_voltage_v) <= 1e3,
                "supply_voltage: must be -1000 to 1000 V");
  require_input(inputs.outlet_plugged_ratio >= 0.0 && inputs.outlet_plugged_ratio <= 1.0,
                "outlet_plugged: must be 0 to 1");
  require_input(std::abs(inputs.ground_speed_mps) <= 20.0, "ground_speed: must be -20 to 20 m/s");
  require_input(inputs.current_limit_a >= 0.0 && inputs.current_limit_a <= 1e3,
                "current_limit: must be 0 to 1000 A");
}

scenario::Scenario resting_at(const scenario::Scenario& scenario, double pressure_pa) {
  scenario::Scenario at_rest = scenario;
  at_rest.supply.pressure_min_pa = pressure_pa;
  return at_rest;
}

}  // namespace

RowInstance::RowInstance(const UnitContents& contents, const UnitInputs& start)
    : contents_(contents),
      plant_scenario_(resting_at(contents.scenario, start.supply_pressure_pa)),
      fixed_(fixed_of(contents)),
      inputs_(start) {
  require_inputs(start);
  plant_ = bench::make_full_row(plant_scenario_, fixed_, contents.row);
  step_ = plant_->step_length();
  if (contents.with_controller) {
    controllers_.emplace(contents_, fixed_);
    bridge_.set_pwm_period(controllers_->pwm_period());
    if (start.seed_sensor) controllers_->edge(now_, true);
    outputs_.pressure_setpoint_pa = contents.scenario.supply.pressure_min_pa;
    outputs_.safe_closed = true;  // a controller starts so, and reports only when that is over
  } else {
    command(start.command, now_);
  }
  outputs_.stored_volume_m3 = plant_->stored_volume_m3().value_or(0.0);
}

void RowInstance::set(const UnitInputs& inputs, shared::Instant at) {
  require_inputs(inputs);
  if (controllers_) {
    if (inputs.seed_sensor != inputs_.seed_sensor) controllers_->edge(at, inputs.seed_sensor);
  } else if (inputs.command != inputs_.command) {
    command(inputs.command, at);
  }
  const bool fast_decay = inputs_.fast_decay;  // parameters are fixed once it runs
  const double current_limit_a = inputs_.current_limit_a;
  inputs_ = inputs;
  inputs_.fast_decay = fast_decay;
  inputs_.current_limit_a = current_limit_a;
}

void RowInstance::command(bool on, shared::Instant at) {
  const std::uint16_t off =
      inputs_.fast_decay ? SILLION_BRIDGE_FAST_DECAY : SILLION_BRIDGE_SLOW_DECAY;
  const auto limit_ma = static_cast<std::uint32_t>(std::llround(inputs_.current_limit_a * 1e3));
  bridge_.pending().push_back(
      {at, on ? sillion_bridge_command{SILLION_BRIDGE_DRIVE, kFullDuty_q15, limit_ma}
              : sillion_bridge_command{off, 0, limit_ma}});
}

void RowInstance::advance(shared::Instant until) {
  const model::DenormalGuard guard;
  while (now_ + step_ <= until) {
    if (now_ >= slot_end_) begin_slot();
    take_step();
  }
  if (controllers_) controllers_->report(outputs_);
}

void RowInstance::begin_slot() {
  plant_->end_slot((now_ - slot_ran_from_).seconds());
  slot_ran_from_ = now_;
  if (controllers_) controllers_->begin_slot(slot_end_, inputs_);
  slot_end_ = slot_end_ + bench::kSlot;
}

void RowInstance::take_step() {
  plant_->take_faults({.outlet_area_ratio = 1.0 - inputs_.outlet_plugged_ratio});
  if (controllers_)
    controllers_->run_until(now_ + step_, inputs_,
                            {.pressure_pa = inputs_.supply_pressure_pa,
                             .supply_voltage_v = inputs_.supply_voltage_v,
                             .coil_current_a = last_.current_a,
                             .meter_pulses = meter_.pulses,
                             .meter_last = meter_last_},
                            bridge_.pending());
  model::RowStepInput input{.supply_pressure_pa = inputs_.supply_pressure_pa,
                            .supply_voltage_v = inputs_.supply_voltage_v};
  turn_bridge(input);
  const model::RowStepOutput out = plant_->step(now_, input, 0.0);
  plant_->took(now_, out);
  if (controllers_) controllers_->stepped(now_, now_ + step_, last_.current_a, out.current_a);
  const scenario::FlowMeterSection& fitted = contents_.scenario.flow_meter;
  if (fitted.pulses_per_m3 > 0.0 &&
      model::turn(meter_, out.inlet_volume_m3, step_.seconds(),
                  {.pulse_m3 = 1.0 / fitted.pulses_per_m3, .minimum_m3ps = fitted.minimum_m3ps}))
    meter_last_ = now_ + step_;
  last_ = out;
  now_ = now_ + step_;
  take_outputs(out);
}

void RowInstance::turn_bridge(model::RowStepInput& input) {
  for (const bench::BridgeTurn& turn : bridge_.step(now_, step_, input)) {
    if (turn.was_on == turn.is_on()) continue;
    outputs_.driven = turn.is_on();
    if (turn.is_on()) {
      ++outputs_.openings;
      outputs_.last_on_s = turn.at.seconds();
      if (controllers_) controllers_->driven(turn.at);
    } else {
      outputs_.last_off_s = turn.at.seconds();
    }
  }
}

void RowInstance::take_outputs(const model::RowStepOutput& out) {
  outputs_.time_s = now_.seconds();
  outputs_.outlet_flow_m3ps = out.outlet_flow_m3ps;
  outputs_.jet_speed_mps = out.jet_speed_mps;
  outputs_.coil_current_a = out.current_a;
  outputs_.lift_m = out.lift_m;
  outputs_.valve_exit_pressure_pa = out.valve_exit_pressure_pa;
  outputs_.total_volume_m3 += out.jet_volume_m3;
  outputs_.stored_volume_m3 = plant_->stored_volume_m3().value_or(0.0);
}

}  // namespace sim::unit
