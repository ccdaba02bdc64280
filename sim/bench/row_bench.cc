#include "sim/bench/row_bench.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/denormals.h"
#include "model/furrow/outlet_jet.h"
#include "sim/bench/row_config.h"
#include "sim/bench/signal_events.h"
#include "sim/bench/work_inputs.h"

namespace sim::bench {
namespace {

/// An ideal row has no waves to resolve: a tenth of a millisecond keeps a parcel below half a
/// millimetre at 16 km/h.
constexpr shared::Duration kIdealStep{100'000};
constexpr double kHistoryEvery_s = 50e-6;
constexpr double kDensityWindow_m = 3.0;
const char* fault_words(model::RowFault fault) {
  switch (fault) {
    case model::RowFault::kNotANumber: return "not a number";
    case model::RowFault::kNegativeVolume: return "a negative volume";
    case model::RowFault::kBelowVapour: return "a pressure below vapour";
    case model::RowFault::kNone: break;
  }
  return "no fault";
}

}  // namespace

RowBench::RowBench(const scenario::Scenario& scenario, const model::Travel& travel, int row,
                   std::uint32_t pass, const sillion_attachment_table& table, std::int32_t trim_um,
                   ControllerHost& host)
    : scenario_(scenario),
      travel_(travel),
      row_(row),
      stream_{.rng_key = scenario.rng_key, .row = static_cast<std::uint32_t>(row), .pass = pass},
      fixed_(drawn_row(scenario, row)),
      way_(lay_out_seeds(scenario, travel, fixed_, stream_, row)),
      life_(scenario, row) {
  record_.seeds = way_.seeds;
  record_.shortest_closed_s = table.shortest_closed_us * 1e-6;
  record_.signals.kept = states_signals(scenario);
  port_ = std::make_unique<ControllerPort>(
      host, row, row_config(scenario, row, table, trim_um),
      ClockSetup{fixed_.clock_drift_ratio, scenario.clock.start_before_wrap_s}, way_.edges);
  const RandomStream machine{.rng_key = scenario.rng_key, .row = 0, .pass = pass};
  ripple_phase_rad_ = 2.0 * shared::kPi_ratio * machine.uniform_ratio(Purpose::kRipplePhase, 0);
  dribble_mps_ = model::dribble_speed_mps(fixed_.liquid_path.liquid, fixed_.liquid_path.outlet);

  GroundRules rules;
  rules.band_length_m = scenario.rate.band_length_m;
  rules.commanded_dose_m3 =
      scenario.rate.in_band_m3pm2 * scenario.row.width_m * scenario.rate.band_length_m;
  rules.dribble_mps = scenario.row.physics == scenario::RowPhysics::kFull ? dribble_mps_ : 0.0;
  rules.continuous = scenario.rate.continuous;
  if (!way_.seeds.empty()) {
    rules.density_from_x_m = way_.seeds[way_.seeds.size() / 2].rest_x_ground_m - 0.1;
    rules.density_length_m = kDensityWindow_m;
  }
  if (scenario.row.physics == scenario::RowPhysics::kFull) {
    unit_ = std::make_unique<model::RowUnit>(fixed_.liquid_path, scenario.solver,
                                             scenario.supply.pressure_min_pa);
    step_ = {unit_->fit().step_ns};
    rules.owned_after_s = 0.9 * unit_->fit().tube_travel_time_s;
    stored_at_start_m3_ = unit_->stored_volume_m3();
  } else {
    step_ = kIdealStep;
    rules.owned_after_s = 0.0;
  }
  coil_k_ = fixed_.liquid_path.valve.coil.temperature_k;
  ground_ = std::make_unique<Ground>(rules, way_, record_);
}

void RowBench::watch(int seed, bool wave) {
  const auto index = static_cast<std::size_t>(seed);
  watch_.on = true;
  watch_.from_s = way_.seeds.at(index).edge_s - 0.01;
  watch_.until_s = way_.seeds.at(index).edge_s + way_.delivery_s.at(index) + 0.25;
  if (wave)
    wave_ = {shared::instant_of(std::max(0.0, watch_.from_s)), shared::instant_of(watch_.until_s)};
}

void RowBench::receive(const std::vector<sillion_frame>& frames, shared::Instant at) {
  for (const sillion_frame& frame : frames) port_->receive(frame, at);
}

void RowBench::begin_slot(shared::Instant slot_start, shared::Instant slot_end,
                          const SharedSupply& met, std::uint32_t inputs) {
  const model::DenormalGuard guard;
  digital_ = inputs;
  meet_supply(slot_start, met);
  slot_start_ = slot_start;
  slot_end_ = slot_end;
  ran_from_ = now_;
  slot_asked_ = false;
}

bool RowBench::go_on() {
  const model::DenormalGuard guard;
  while (now_ < slot_end_) {
    if (call_due(now_ + step_)) return true;
    advance(now_);
    now_ = now_ + step_;
    supply_.next_step();
    ++record_.steps;
  }
  end_slot();
  return false;
}

void RowBench::end_slot() {
  const double ran_s = (now_ - ran_from_).seconds();
  run_s_ += ran_s;
  own_mean_a_ = ran_s > 0.0 ? draw_.charge_as / ran_s : own_a_;
  // Steps do not end with the slot: what is booked for it is its own length of the mean.
  draw_.charge_as = own_mean_a_ * (slot_end_ - slot_start_).seconds();
  if (scenario_.attachment.valve.coil.thermal_kpw > 0.0) warm_coil();
}

// Up to the step's end a call may be due, and before it the controller may go off or start again.
bool RowBench::ask_ahead(AheadHost& host) {
  const std::int64_t left_ns = std::max<std::int64_t>(0, (slot_end_ - now_).ns);
  // The slot's last step may reach beyond its end.
  const shared::Instant end = now_ + step_ * ((left_ns + step_.ns - 1) / step_.ns);
  while (life_.next() <= port_->asked_until() && life_.next() < end) life_.act(*port_, pending_);
  if (port_->asked_until() >= end) return false;
  AheadQuestion& question = host.question(row_);
  question.fresh = slot_asked_ ? 0 : 1;
  question.from = now_;
  question.step = step_;
  question.supply = supply_;
  question.digital = digital_;
  slot_asked_ = true;
  port_->ask(std::min(end, life_.next()), question);
  return true;
}

bool RowBench::call_due(shared::Instant step_end) {
  if (port_->runs_ahead()) return false;
  while (true) {
    const shared::Instant until = std::min(step_end, life_.next());
    if (port_->busy_before(until))
      return port_->call_due(until,
                             {.pressure_pa = supply_.pressure_pa(),
                              .supply_voltage_v = driver_voltage_v(),
                              .coil_current_a = last_.current_a,
                              .meter_pulses = meter_.pulses,
                              .meter_last = meter_last_,
                              .digital = digital_},
                             pending_);
    if (life_.next() >= step_end) return false;
    life_.act(*port_, pending_);
  }
}

void RowBench::advance(shared::Instant step_start) {
  const shared::Instant step_end = step_start + step_;
  if (met_.share.compliance_m3ppa > 0.0) draw_from_manifold();
  model::RowStepInput input{.supply_pressure_pa = supply_.pressure_pa(),
                            .supply_voltage_v = driver_voltage_v()};
  bridge_changes(step_start, input);
  model::RowStepOutput out = step_plant(step_start, input);
  note_draw(input, out);
  if (met_.air) [[unlikely]]
    leave_air_out(step_start, out);
  land(step_start, out);
  if (record_.signals.kept) keep_signals(step_start, input, out);
  if (watch_.on) {
    keep_history(step_start, input, out, landing_x_m_);
    wave_.step({.end = step_end,
                .supply_pressure_pa = input.supply_pressure_pa,
                .supply_voltage_v = input.supply_voltage_v,
                .lowered = (digital_ & SILLION_INPUT_LOWERED) != 0,
                .landing_x_ground_m = landing_x_m_},
               out);
  }
  last_ = out;
}

// [5] the bridge's states inside this step become shares of it; the first on command of a pulse
// starts its ownership
void RowBench::bridge_changes(shared::Instant step_start, model::RowStepInput& input) {
  const shared::Instant step_end = step_start + step_;
  const auto share_until = [&](shared::Instant from, shared::Instant to) {
    const double share_ratio = static_cast<double>((to - from).ns) / static_cast<double>(step_.ns);
    const double duty_ratio = bridge_.duty_q15 / 32768.0;
    if (bridge_.state == SILLION_BRIDGE_DRIVE) input.drive_ratio += share_ratio * duty_ratio;
    if (bridge_.state == SILLION_BRIDGE_FAST_DECAY) input.fast_decay_ratio += share_ratio;
    if (bridge_.state == SILLION_BRIDGE_REVERSE) input.reverse_ratio += share_ratio;
  };
  shared::Instant from = step_start;
  if (!pending_.empty()) {
    std::stable_sort(pending_.begin(), pending_.end(),
                     [](const BridgeChange& a, const BridgeChange& b) { return a.at < b.at; });
    std::size_t done = 0;
    for (; done < pending_.size() && pending_[done].at < step_end; ++done) {
      const shared::Instant at = std::max(from, pending_[done].at);
      share_until(from, at);
      set_bridge(pending_[done].command, at);
      from = at;
    }
    pending_.erase(pending_.begin(), pending_.begin() + static_cast<std::ptrdiff_t>(done));
  }
  share_until(from, step_end);
  input.current_limit_a = bridge_.current_ma * 1e-3;
}

void RowBench::set_bridge(const sillion_bridge_command& command, shared::Instant at) {
  const bool was_on = bridge_.state == SILLION_BRIDGE_DRIVE;
  const bool is_on = command.state == SILLION_BRIDGE_DRIVE;
  bridge_ = command;
  wave_.bridge(at, command);
  if (was_on == is_on) return;
  if (is_on) {
    if (scenario_.ideal.still_column && unit_) unit_->come_to_rest(supply_.pressure_pa());
    ground_->valve_commanded_on(at.seconds(), steady_flow_m3ps());
    ideal_.push_back({.from_s = at.seconds() + scenario_.row.opening_delay_s});
  } else {
    ground_->valve_commanded_off(at.seconds());
    if (!ideal_.empty()) ideal_.back().to_s = at.seconds() + scenario_.row.closing_delay_s;
  }
}

double RowBench::steady_flow_m3ps() {
  // the ripple moves the pressure by a few percent: the 5 % mark of a pulse does not need a new
  // solution for that
  const double pressure_pa = std::max(0.0, supply_.smooth_pressure_pa());
  if (std::abs(pressure_pa - steady_pressure_pa_) > 0.01 * pressure_pa) {
    steady_pressure_pa_ = pressure_pa;
    steady_flow_kept_m3ps_ =
        unit_ ? model::steady_flow_m3ps(fixed_.liquid_path, pressure_pa,
                                        fixed_.liquid_path.valve.plunger.travel_m)
              : scenario_.rate.in_band_m3pm2 * scenario_.row.width_m *
                    std::max(0.0, model::motion_at(travel_, now_.seconds()).speed_mps);
  }
  return steady_flow_kept_m3ps_;
}

// [6] plunger and [7] column move by one step
model::RowStepOutput RowBench::step_plant(shared::Instant step_start,
                                          const model::RowStepInput& input) {
  if (unit_) {
    const model::RowStepOutput out = unit_->step(input);
    if (out.fault != model::RowFault::kNone)
      throw BenchError(fmt::format(
          "row {}: {} at step {} ({:.6f} s): lift {:.6g} m, current {:.6g} A, valve flow {:.6g} "
          "m3/s, hose end {:.6g} Pa, "
          "valve exit {:.6g} Pa, outlet {:.6g} Pa, cavity {:.6g} m3, void {:.6g} m3",
          row_, fault_words(out.fault), record_.steps, step_start.seconds(), out.lift_m,
          out.current_a, out.valve_flow_m3ps, out.hose_end_pressure_pa, out.valve_exit_pressure_pa,
          out.outlet_pressure_pa, out.valve_cavity_m3, out.outlet_void_m3));
    return out;
  }
  model::RowStepOutput out;
  const double from_s = step_start.seconds();
  const double to_s = (step_start + step_).seconds();
  double open_s = 0.0;
  for (const IdealPulse& pulse : ideal_)
    open_s += std::max(0.0, std::min(to_s, pulse.to_s) - std::max(from_s, pulse.from_s));
  ideal_.erase(std::remove_if(ideal_.begin(), ideal_.end(),
                              [&](const IdealPulse& pulse) { return pulse.to_s < from_s; }),
               ideal_.end());
  out.outlet_flow_m3ps = out.valve_flow_m3ps = steady_flow_m3ps() * open_s / (to_s - from_s);
  out.jet_volume_m3 = out.inlet_volume_m3 = out.valve_volume_m3 =
      out.outlet_flow_m3ps * (to_s - from_s);
  return out;
}

/// The row rides over the ground: drop height between knots of the ground, of unit variance at and
/// between them.
double RowBench::drop_height_m(double x_ground_m) {
  const scenario::NoiseSection& noise = scenario_.noise;
  const double mean_m = scenario_.attachment.jet.drop_height_m;
  if (noise.drop_height_ride_m <= 0.0) return mean_m;
  const double place_ratio = std::max(0.0, x_ground_m) / noise.ride_length_m;
  const auto knot = static_cast<long long>(place_ratio);
  if (knot != ride_.knot) {
    ride_.knot = knot;
    for (int k = 0; k < 2; ++k)
      ride_.knot_ratio[k] =
          stream_.normal_ratio(Purpose::kRide, static_cast<std::uint64_t>(knot + k));
  }
  const double w_ratio = place_ratio - static_cast<double>(knot);
  const double ride_ratio =
      ((1.0 - w_ratio) * ride_.knot_ratio[0] + w_ratio * ride_.knot_ratio[1]) /
      std::sqrt((1.0 - w_ratio) * (1.0 - w_ratio) + w_ratio * w_ratio);
  return std::max(0.1 * mean_m, mean_m + noise.drop_height_ride_m * ride_ratio);
}

void RowBench::turn_meter(shared::Instant step_start, const model::RowStepOutput& out) {
  const scenario::FlowMeterSection& fitted = scenario_.flow_meter;
  const model::FlowMeter meter{.pulse_m3 = 1.0 / fitted.pulses_per_m3,
                               .minimum_m3ps = fitted.minimum_m3ps};
  if (model::turn(meter_, out.inlet_volume_m3, step_.seconds(), meter))
    meter_last_ = step_start + step_;
}

// [8] what left the outlet flies, lands, and lies on the ground
void RowBench::land(shared::Instant step_start, const model::RowStepOutput& out) {
  const double end_s = (step_start + step_).seconds();
  record_.inlet_volume_m3 += out.inlet_volume_m3;
  jet_out_m3_ += out.jet_volume_m3;
  if (scenario_.flow_meter.pulses_per_m3 > 0.0) turn_meter(step_start, out);
  landing_x_m_ = statistics::kNone_ratio;
  if (out.jet_volume_m3 <= 0.0) {
    ground_->take(end_s, 0.0, out.outlet_flow_m3ps, 0.0, 0.0);
    return;
  }
  const double mid_s = step_start.seconds() + 0.5 * step_.seconds();
  const model::RowMotion motion = model::row_motion_at(travel_, fixed_.y_unit_m, mid_s);
  const double outlet_x_m = motion.x_ground_m + scenario_.drop_x_unit_m -
                            scenario_.attachment.outlet_offset_m + fixed_.outlet_shift_m;
  if (unit_) {
    model::JetAim aim = scenario_.attachment.jet;
    aim.drop_height_m = drop_height_m(motion.x_ground_m);
    landing_x_m_ = outlet_x_m + model::jet_reach_m(out.jet_speed_mps, motion.speed_mps, aim) +
                   motion.speed_mps * scenario_.ideal.still_shift_s;
  } else {
    landing_x_m_ = outlet_x_m + motion.speed_mps * scenario_.row.flight_time_s;
  }
  ground_->take(end_s, out.jet_volume_m3, out.outlet_flow_m3ps, out.jet_speed_mps, landing_x_m_);
}

void RowBench::keep_signals(shared::Instant step_start, const model::RowStepInput& input,
                            const model::RowStepOutput& out) {
  constexpr double kFlowing_ratio = 0.05;  // as a band's start (domain words of this project)
  // The steady flow is the one that was solved for a pulse. Were it solved here, at the pressure of
  // this step, the 5 % mark at which a pulse under way begins and ends would move with it.
  const double flowing_m3ps = kFlowing_ratio * steady_flow_kept_m3ps_;
  const bool open = unit_ ? out.lift_m > 0.0 : out.outlet_flow_m3ps > 0.0;
  measure::note_step(record_.signals,
                     {.from_s = step_start.seconds(),
                      .to_s = (step_start + step_).seconds(),
                      .gates = {input.drive_ratio > 0.0, open,
                                steady_flow_kept_m3ps_ > 0.0 && out.outlet_flow_m3ps > flowing_m3ps,
                                (digital_ & SILLION_INPUT_LOWERED) == 0},
                      .reals_si = {input.supply_pressure_pa, input.supply_voltage_v, out.current_a,
                                   out.lift_m, out.outlet_flow_m3ps}});
}

void RowBench::keep_history(shared::Instant step_start, const model::RowStepInput& input,
                            const model::RowStepOutput& out, double x_landing_ground_m) {
  const double time_s = step_start.seconds();
  if (time_s < watch_.from_s || time_s > watch_.until_s) return;
  measure::PulseHistory& history = watch_.history;
  if (!history.time_s.empty() && time_s < history.time_s.back() + kHistoryEvery_s - 1e-9) return;
  history.time_s.push_back(time_s);
  history.command_ratio.push_back(input.drive_ratio);
  history.current_a.push_back(out.current_a);
  history.lift_m.push_back(out.lift_m);
  history.valve_flow_m3ps.push_back(out.valve_flow_m3ps);
  history.outlet_flow_m3ps.push_back(out.outlet_flow_m3ps);
  history.valve_exit_pressure_pa.push_back(out.valve_exit_pressure_pa);
  history.x_landing_ground_m.push_back(x_landing_ground_m);
}

measure::RowRecord RowBench::finish() {
  ground_->finish();
  record_.health = port_->health();
  watch_.events = port_->take_events();
  if (record_.signals.kept) {
    note_events(scenario_, way_, watch_.events, record_.signals);
    note_inputs(scenario_, row_, record_.signals);
    for (const measure::OnInterval& off : life_.off_until(record_.signals.until_s))
      measure::note_on(record_.signals, scenario::OnOff::kOff, off.from_s, off.to_s);
  }
  if (unit_)
    record_.balance_residual_m3 = record_.inlet_volume_m3 + air_in_m3_ - jet_out_m3_ - air_out_m3_ -
                                  (unit_->stored_volume_m3() - stored_at_start_m3_);
  if (!way_.seeds.empty()) {
    record_.work_start_x_m = way_.rest_sorted_m.front() - 0.5 * scenario_.seeding.meter.spacing_m;
    record_.work_end_x_m = way_.rest_sorted_m.back() + 0.5 * scenario_.seeding.meter.spacing_m;
    record_.travelled_m = record_.work_end_x_m - record_.work_start_x_m;
  }
  return std::move(record_);
}

}  // namespace sim::bench
