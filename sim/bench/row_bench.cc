#include "sim/bench/row_bench.h"

#include <algorithm>
#include <cmath>

#include "model/denormals.h"
#include "model/furrow/outlet_jet.h"
#include "sim/bench/row_config.h"
#include "sim/bench/signal_events.h"
#include "sim/bench/work_inputs.h"
#include "sim/scenario/rate_zones.h"

namespace sim::bench {
namespace {

constexpr double kDensityWindow_m = 3.0;

double ripple_phase_rad(const scenario::Scenario& scenario, std::uint32_t pass) {
  const RandomStream machine{.rng_key = scenario.rng_key, .row = 0, .pass = pass};
  return 2.0 * shared::kPi_ratio * machine.uniform_ratio(Purpose::kRipplePhase, 0);
}

GroundRules ground_rules(const scenario::Scenario& scenario, const RowFixed& fixed,
                         const SeedWay& way, const RowPlant& plant) {
  GroundRules rules;
  rules.band_length_m = scenario.rate.band_length_m;
  rules.commanded_dose_m3 =
      scenario.rate.in_band_m3pm2 * scenario.row.width_m * scenario.rate.band_length_m;
  rules.dribble_mps =
      scenario.row.physics == scenario::RowPhysics::kFull
          ? model::dribble_speed_mps(fixed.liquid_path.liquid, fixed.liquid_path.outlet)
          : 0.0;
  rules.continuous = scenario.rate.continuous;
  rules.owned_after_s = plant.owned_after_s();
  if (!way.seeds.empty()) {
    rules.density_from_x_m = way.seeds[way.seeds.size() / 2].rest_x_ground_m - 0.1;
    rules.density_length_m = kDensityWindow_m;
  }
  return rules;
}

}  // namespace

RowBench::RowBench(const scenario::Scenario& scenario, const model::Travel& travel, int row,
                   std::uint32_t pass, const sillion_attachment_table& table, std::int32_t trim_um,
                   ControllerHost& host, const Played* played)
    : scenario_(scenario),
      row_(row),
      stream_{.rng_key = scenario.rng_key, .row = static_cast<std::uint32_t>(row), .pass = pass},
      fixed_(drawn_row(scenario, row)),
      played_(played),
      way_(played == nullptr
               ? lay_out_seeds(scenario, travel, fixed_, stream_, row)
               : lay_out_recorded(scenario, travel, fixed_, stream_, row, played_row().edges)),
      life_(scenario, row),
      fate_(scenario, row, stream_),
      plant_(scenario.row.physics == scenario::RowPhysics::kFull
                 ? make_full_row(scenario, fixed_, row)
                 : make_ideal_row(scenario, travel)),
      supply_(scenario, ripple_phase_rad(scenario, pass)),
      landing_(scenario, travel, fixed_, stream_),
      step_(plant_->step_length()) {
  record_.seeds = way_.seeds;
  if (played_ != nullptr) drives_ = played_row().drives;
  if (!way_.seeds.empty()) state_work(true);
  record_.shortest_closed_s = table.shortest_closed_us * 1e-6;
  record_.signals.kept = states_signals(scenario);
  const sillion_config config = row_config(scenario, row, table, trim_um);
  port_ = std::make_unique<ControllerPort>(
      host, row, config, ClockSetup{fixed_.clock_drift_ratio, scenario.clock.start_before_wrap_s},
      played == nullptr ? way_.edges : std::vector<EdgePair>{}, storage_setup(scenario, row, pass));
  bridge_.set_pwm_period(pwm_period(host, fixed_.clock_drift_ratio));
  constexpr int kCurrentChannel = 2;
  burst_ =
      burst_recorder(host, fixed_.clock_drift_ratio, config.analog_full_scale[kCurrentChannel]);
  if (scenario.network.radio.period_s > 0.0) radio_.emplace(scenario.network.radio, row + 1);
  balance_.stored_at_start_m3 = plant_->stored_volume_m3().value_or(0.0);
  ground_ = std::make_unique<Ground>(ground_rules(scenario, fixed_, way_, *plant_), way_, record_);
}

void RowBench::receive(const std::vector<sillion_frame>& frames, shared::Instant at) {
  for (const sillion_frame& frame : frames) port_->receive(frame, at);
  port_->hand_over(burst_.take());
}

std::vector<SentFrame> RowBench::take_sent(shared::Instant until) {
  std::vector<SentFrame> sent = port_->take_sent();
  if (radio_) {
    sent = radio_->run(sent, until);
    const Transmitted done = radio_->take_done();
    port_->transmitted(done.ok, done.failed);
    return sent;
  }
  std::uint32_t failed = 0;
  for (std::size_t k = 0; k < sent.size() && scenario_.network.acknowledged; ++k)
    failed += fate_.lost_to_machine(until) ? 1 : 0;
  port_->transmitted(static_cast<std::uint32_t>(sent.size()) - failed, failed);
  return sent;
}

void RowBench::begin_slot(shared::Instant slot_start, shared::Instant slot_end,
                          const SharedSupply& supply, std::uint32_t inputs) {
  const model::DenormalGuard guard;
  const scenario::PlantSeam seam = scenario::plant_at(scenario_, row_, slot_start.seconds());
  slot_ = {.start = slot_start, .end = slot_end, .ran_from = now_, .digital = inputs, .seam = seam};
  plant_->take_faults(seam);
  if (supply.air)
    air_.begin(slot_start.seconds(), fixed_.liquid_path, last_.outlet_void_m3, record_);
  supply_.begin_slot(supply, seam, now_, step_);
  // The slot's last step may reach beyond its end.
  if (played_ != nullptr) play_until(slot_end + step_);
}

void RowBench::end_slot() {
  const double ran_s = (now_ - slot_.ran_from).seconds();
  supply_.end_slot(ran_s, (slot_.end - slot_.start).seconds());
  plant_->end_slot(ran_s);
}

// Asks up to the end of the last step; before that the controller may go off or start again.
bool RowBench::ask_ahead(AheadHost& host) {
  const std::int64_t left_ns = std::max<std::int64_t>(0, (slot_.end - now_).ns);
  // The slot's last step may reach beyond its end.
  const shared::Instant end = now_ + step_ * ((left_ns + step_.ns - 1) / step_.ns);
  while (life_.next() <= port_->asked_until() && life_.next() < end) life_.act(*port_, commands());
  if (port_->asked_until() >= end) return false;
  AheadQuestion& question = host.question(row_);
  question.fresh = slot_.asked ? 0 : 1;
  question.from = now_;
  question.step = step_;
  question.supply = supply_.line();
  question.digital = slot_.digital;
  slot_.asked = true;
  port_->ask(std::min(end, life_.next()), question);
  return true;
}

bool RowBench::call_due() {
  if (port_->runs_ahead()) return false;
  const shared::Instant step_end = now_ + step_;
  while (true) {
    const shared::Instant until = std::min(step_end, life_.next());
    if (port_->busy_before(until) &&
        port_->call_due(until,
                        {.pressure_pa = supply_.pressure_pa(),
                         .supply_voltage_v = supply_.driver_voltage_v(),
                         .coil_current_a = last_.current_a,
                         .meter_pulses = meter_.state.pulses,
                         .meter_last = meter_.last_pulse,
                         .digital = slot_.digital},
                        commands()))
      return true;
    if (life_.next() >= step_end) return false;
    life_.act(*port_, commands());
  }
}

model::RowStepInput RowBench::begin_step() {
  supply_.draw_from_manifold(*plant_, last_);
  model::RowStepInput input{.supply_pressure_pa = supply_.pressure_pa(),
                            .supply_voltage_v = supply_.driver_voltage_v()};
  turn_bridge(input);
  bend_driver(input);
  // An ideal row flows as the bench solves it; a full row has a flow of its own.
  if (scenario_.row.physics == scenario::RowPhysics::kIdeal) full_flow_m3ps();
  return input;
}

void RowBench::step() {
  const model::RowStepInput input = begin_step();
  end_step(input, plant_->step(now_, input, full_.flow_m3ps));
}

// From the supply to the ground.
void RowBench::end_step(const model::RowStepInput& input, const model::RowStepOutput& did) {
  model::RowStepOutput out = did;
  plant_->took(now_, out);
  supply_.book(input, out, step_.seconds());
  if (supply_.brings_air()) [[unlikely]]
    air_.leave_out(now_.seconds(), out, record_);
  land(out);
  recorder_.step({.start = now_,
                  .end = now_ + step_,
                  .input = input,
                  .out = out,
                  .open = plant_->open(out),
                  .lowered = (slot_.digital & SILLION_INPUT_LOWERED) != 0,
                  .full_flow_m3ps = full_.flow_m3ps,
                  .landing_x_ground_m = landing_x_m_},
                 record_.signals);
  burst_.step(now_, now_ + step_, last_.current_a, out.current_a);
  coil_.step(now_, now_ + step_, last_.current_a, out.current_a, out.lift_m);
  last_ = out;
  now_ = now_ + step_;
  supply_.next_step();
  ++record_.steps;
}

// [5] The first on command of a pulse starts its ownership of what leaves the outlet.
void RowBench::turn_bridge(model::RowStepInput& input) {
  for (const BridgeTurn& turn : bridge_.step(now_, step_, input)) {
    recorder_.bridge(turn.at, turn.command);
    if (turn.was_on == turn.is_on()) continue;
    if (turn.is_on()) {
      ++pulses_;
      burst_.begin(turn.at);
      coil_.begin(turn.at);
      plant_->commanded_on(turn.at, supply_.pressure_pa());
      ground_->valve_commanded_on(turn.at.seconds(), full_flow_m3ps(),
                                  scenario::in_band_share_ratio(scenario_.rate, turn.at.seconds()));
    } else {
      ground_->valve_commanded_off(turn.at.seconds());
      plant_->commanded_off(turn.at);
    }
  }
}

/// What a broken driver or a broken wire makes of the command.
void RowBench::bend_driver(model::RowStepInput& input) const {
  const scenario::PlantSeam& seam = slot_.seam;
  if (seam.slow_decay) input.fast_decay_ratio = 0.0;
  if (seam.driver_on) {
    input.drive_ratio = 1.0;
    input.fast_decay_ratio = input.reverse_ratio = input.current_limit_a = 0.0;
  }
  if (seam.coil_open) {
    input.drive_ratio = input.reverse_ratio = 0.0;
    input.fast_decay_ratio = 1.0;
  }
}

double RowBench::full_flow_m3ps() {
  // The ripple moves the pressure by a few percent: the 5 % mark of a pulse does not need a new
  // solution for that.
  const double pressure_pa = std::max(0.0, supply_.line().smooth_pressure_pa());
  const double set_ratio = scenario::in_band_share_ratio(scenario_.rate, now_.seconds());
  if (std::abs(pressure_pa - full_.pressure_pa) > 0.01 * pressure_pa ||
      set_ratio != full_.set_ratio)
    full_ = {pressure_pa, plant_->steady_flow_m3ps(pressure_pa, now_), set_ratio};
  return full_.flow_m3ps;
}

void RowBench::turn_meter(const model::RowStepOutput& out) {
  const scenario::FlowMeterSection& fitted = scenario_.flow_meter;
  const model::FlowMeter meter{.pulse_m3 = 1.0 / fitted.pulses_per_m3,
                               .minimum_m3ps = fitted.minimum_m3ps};
  const double counted_m3 = slot_.seam.meter_ratio * out.inlet_volume_m3;
  if (model::turn(meter_.state, counted_m3, step_.seconds(), meter))
    meter_.last_pulse = now_ + step_;
}

// [8] What left the outlet flies, lands, and lies on the ground.
void RowBench::land(const model::RowStepOutput& out) {
  const double end_s = (now_ + step_).seconds();
  record_.inlet_volume_m3 += out.inlet_volume_m3;
  balance_.jet_out_m3 += out.jet_volume_m3;
  if (scenario_.flow_meter.pulses_per_m3 > 0.0) turn_meter(out);
  landing_x_m_ = statistics::kNone_ratio;
  if (out.jet_volume_m3 <= 0.0) {
    ground_->take(end_s, 0.0, out.outlet_flow_m3ps, 0.0, 0.0);
    return;
  }
  const LandingPlace landed = landing_.place(now_, step_, out);
  landing_x_m_ = landed.x_ground_m;
  record_.outward_sum_m4 += landed.outward_m * out.jet_volume_m3;
  record_.outward_max_m = std::max(record_.outward_max_m, landed.outward_m);
  ground_->take(end_s, out.jet_volume_m3, out.outlet_flow_m3ps, out.jet_speed_mps, landing_x_m_);
}

RowBench::SoFar RowBench::so_far() const {
  const auto seen =
      std::upper_bound(way_.edges.begin(), way_.edges.end(), now_.seconds(),
                       [](double at_s, const EdgePair& edge) { return at_s < edge.rising_s; });
  return {.edges = record_.first_seed + static_cast<int>(seen - way_.edges.begin()),
          .pulses = pulses_,
          .liquid_m3 = balance_.jet_out_m3};
}

measure::RowRecord RowBench::finish() {
  ground_->finish();
  if (played_ != nullptr) port_->take_events();  // of a controller that nothing reaches
  if (played_ == nullptr) record_.health = port_->health();
  recorder_.keep_events(port_->take_events());
  for (const TimedEvent& event : recorder_.watched().events)
    record_.events.push_back(
        {event.at.seconds(), event.record.code, event.record.a, event.record.b});
  if (record_.signals.kept) {
    note_events(scenario_, way_, recorder_.watched().events, record_.signals);
    note_inputs(scenario_, row_, record_.signals);
    for (const measure::OnInterval& off : life_.off_until(record_.signals.until_s))
      measure::note_on(record_.signals, scenario::OnOff::kOff, off.from_s, off.to_s);
  }
  if (const std::optional<double> stored_m3 = plant_->stored_volume_m3())
    record_.balance_residual_m3 = record_.inlet_volume_m3 + air_.in_m3() - balance_.jet_out_m3 -
                                  air_.out_m3() - (*stored_m3 - balance_.stored_at_start_m3);
  return std::move(record_);
}

}  // namespace sim::bench
