#include "sim/bench/row_recorder.h"

#include <algorithm>

namespace sim::bench {
namespace {

constexpr double kHistoryEvery_s = 50e-6;

void keep_signals(const RecordedStep& step, measure::RowSignals& signals) {
  constexpr double kFlowing_ratio = 0.05;  // as a band's start (domain words of this project)
  // The steady flow is the one that was solved for a pulse. Solving it here, at the pressure of
  // this step, would move the 5 % mark at which a pulse under way begins and ends.
  const double flowing_m3ps = kFlowing_ratio * step.full_flow_m3ps;
  measure::note_step(
      signals, {.from_s = step.start.seconds(),
                .to_s = step.end.seconds(),
                .gates = {step.input.drive_ratio > 0.0, step.open,
                          step.full_flow_m3ps > 0.0 && step.out.outlet_flow_m3ps > flowing_m3ps,
                          !step.lowered},
                .reals_si = {step.input.supply_pressure_pa, step.input.supply_voltage_v,
                             step.out.current_a, step.out.lift_m, step.out.outlet_flow_m3ps}});
}

}  // namespace

void RowRecorder::watch(const SeedWay& way, std::size_t seed, bool wave) {
  watch_.on = true;
  watch_.from_s = way.seeds.at(seed).edge_s - 0.01;
  watch_.until_s = way.seeds.at(seed).edge_s + way.delivery_s.at(seed) + 0.25;
  if (wave)
    wave_ = {shared::instant_of(std::max(0.0, watch_.from_s)), shared::instant_of(watch_.until_s)};
}

void RowRecorder::step(const RecordedStep& step, measure::RowSignals& signals) {
  if (signals.kept) keep_signals(step, signals);
  if (!watch_.on) return;
  keep_history(step);
  wave_.step({.end = step.end,
              .supply_pressure_pa = step.input.supply_pressure_pa,
              .supply_voltage_v = step.input.supply_voltage_v,
              .lowered = step.lowered,
              .landing_x_ground_m = step.landing_x_ground_m},
             step.out);
}

void RowRecorder::keep_history(const RecordedStep& step) {
  const double time_s = step.start.seconds();
  if (time_s < watch_.from_s || time_s > watch_.until_s) return;
  measure::PulseHistory& history = watch_.history;
  if (!history.time_s.empty() && time_s < history.time_s.back() + kHistoryEvery_s - 1e-9) return;
  history.time_s.push_back(time_s);
  history.command_ratio.push_back(step.input.drive_ratio);
  history.current_a.push_back(step.out.current_a);
  history.lift_m.push_back(step.out.lift_m);
  history.valve_flow_m3ps.push_back(step.out.valve_flow_m3ps);
  history.outlet_flow_m3ps.push_back(step.out.outlet_flow_m3ps);
  history.valve_exit_pressure_pa.push_back(step.out.valve_exit_pressure_pa);
  history.x_landing_ground_m.push_back(step.landing_x_ground_m);
}

}  // namespace sim::bench
