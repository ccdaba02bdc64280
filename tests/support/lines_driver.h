// Steps the equations of lines_equations.h from event to event by any integrator that has a dense
// output: Odeint's (method_of_lines.cc) and the stiff solver of the bench (bench/stiff_solver.cc).
//
// Stepper  initialize(y, now_s, step_s); do_step(system), which gives the ends of the step;
//          current_state(), current_time_step(), calc_state(at_s, y) within the last step
// Errors   those of the stepper
// Checked  tests/model/row/method_of_lines_test.cc
#pragma once

#include <algorithm>
#include <span>
#include <vector>

#include "tests/support/lines_events.h"

namespace support {

// Samples the dense output of the step that ends at to_s; that step's equations are in force.
template <class Stepper>
void sample(Stepper& stepper, const RowEquations& row, double to_s, double every_s, State& probe,
            std::vector<LinesTrace>& trace) {
  for (double at_s = static_cast<double>(trace.size()) * every_s; at_s <= to_s;
       at_s = static_cast<double>(trace.size()) * every_s) {
    stepper.calc_state(at_s, probe);
    trace.push_back(row.trace_of(at_s, probe));
  }
}

// The instant between from_s and to_s at which margin() is no longer positive: an event lies there.
// `y` becomes the state at that instant.
template <class Stepper>
double event_time_s(Stepper& stepper, const RowEquations& row, const model::Plunger& plunger,
                    double from_s, double to_s, State& probe, State& y) {
  for (int halving = 0; halving < 60 && to_s - from_s > 1e-12; ++halving) {
    const double middle_s = 0.5 * (from_s + to_s);
    stepper.calc_state(middle_s, probe);
    (margin(row, probe, plunger) <= 0.0 ? to_s : from_s) = middle_s;
  }
  stepper.calc_state(to_s, y);
  return to_s;
}

/// `row` is at its start. `system` is what do_step is given; a stepper may hold `row` itself.
template <class Stepper, class System>
LinesRun run_lines(RowEquations& row, Stepper& stepper, const System& system,
                   const model::Plunger& plunger, std::span<const OnOff> pulses, double end_s,
                   const LinesSetup& setup, bool with_trace) {
  const std::vector<Switch> switches = switches_of(pulses, end_s, setup.slow_decay);

  LinesRun run;
  State y = row.still();
  State probe = y;
  run.stored_before_m3 = row.stored_volume_m3(y);
  const bool sampled = setup.sample_every_s > 0.0;
  double now_s = 0.0;
  double step_s = 1e-6;
  for (const Switch& next : switches) {
    bool fresh = true;
    while (now_s < next.at_s) {
      if (fresh) stepper.initialize(y, now_s, step_s);
      fresh = false;
      const double from_jet = y[RowEquations::kJet];
      const double from_s = now_s;
      double to_s = stepper.do_step(system).second;
      step_s = stepper.current_time_step();
      ++run.steps;
      if (to_s > next.at_s) {
        to_s = next.at_s;
        stepper.calc_state(to_s, y);
        fresh = true;
      } else {
        y = stepper.current_state();
      }
      if (margin(row, y, plunger) <= 0.0) {
        to_s = event_time_s(stepper, row, plunger, from_s, to_s, probe, y);
        if (with_trace && sampled)
          sample(stepper, row, to_s, setup.sample_every_s, probe, run.trace);
        apply_event(row, y, plunger, setup.rest_speed_mps, to_s, run.events);
        fresh = true;
        step_s = std::min(step_s, 1e-6);
      } else if (with_trace && sampled) {
        sample(stepper, row, to_s, setup.sample_every_s, probe, run.trace);
      }
      now_s = to_s;
      const double volume_m3 = (y[RowEquations::kJet] - from_jet) * kVolumeUnit_m3;
      if (volume_m3 > 0.0)
        run.outlet.push_back(
            {0.5 * (from_s + now_s), volume_m3, row.jet_speed_mps(volume_m3 / (now_s - from_s))});
      if (with_trace && !sampled) run.trace.push_back(row.trace_of(now_s, y));
    }
    row.bridge = next.to;
    step_s = std::min(step_s, 1e-6);
  }
  run.inlet_volume_m3 = y[RowEquations::kInlet] * kVolumeUnit_m3;
  run.jet_volume_m3 = y[RowEquations::kJet] * kVolumeUnit_m3;
  run.stored_volume_m3 = row.stored_volume_m3(y);
  run.evaluations = row.evaluations;
  return run;
}

}  // namespace support
