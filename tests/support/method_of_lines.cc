#include "tests/support/method_of_lines.h"

// Odeint's dense output wants these helpers declared before it.
#include <boost/numeric/odeint/util/bind.hpp>
#include <boost/numeric/odeint/util/unwrap_reference.hpp>

#include <algorithm>
#include <boost/numeric/odeint/stepper/dense_output_runge_kutta.hpp>
#include <boost/numeric/odeint/stepper/generation.hpp>
#include <boost/numeric/odeint/stepper/runge_kutta_dopri5.hpp>
#include <cmath>

#include "shared/check.h"
#include "tests/support/lines_equations.h"

namespace support {
namespace {

// Positive while the present equations hold; a change of sign is an event.
double margin(const RowEquations& row, const State& y, const model::Plunger& plunger) {
  const double travel = plunger.travel_m / kLiftUnit_m;
  const double friction_n = plunger.coulomb_friction_n;
  double least = 1.0;
  if (row.bridge == Bridge::kDecay) least = std::min(least, row.winding_a(y));
  if (row.contact == Contact::kSeat) least = std::min(least, friction_n - row.net_force_n(y));
  if (row.contact == Contact::kStop) least = std::min(least, friction_n + row.net_force_n(y));
  if (row.contact == Contact::kStuck)
    least = std::min(least, friction_n - std::abs(row.net_force_n(y)));
  if (row.contact == Contact::kFree) {
    least = std::min({least, y[RowEquations::kLift], travel - y[RowEquations::kLift]});
    if (friction_n > 0.0) least = std::min(least, row.sense * y[RowEquations::kSpeed]);
  }
  return least;
}

// A plunger at rest starts where the net force exceeds what holds it.
void start_plunger(RowEquations& row, const State& y, double friction_n, double now_s,
                   std::vector<LinesEvent>& events) {
  const double force_n = row.net_force_n(y);
  const bool up = force_n >= friction_n && row.contact != Contact::kStop;
  const bool down = force_n <= -friction_n && row.contact != Contact::kSeat;
  if (!up && !down) return;
  if (row.contact == Contact::kSeat) events.push_back({now_s, PlungerEvent::kLeftSeat});
  if (row.contact == Contact::kStop) events.push_back({now_s, PlungerEvent::kLeftStop});
  row.contact = Contact::kFree;
  row.sense = up ? 1.0 : -1.0;
}

// Changes state and equations for the located event. Order at one instant: coil, then contact.
void apply_event(RowEquations& row, State& y, const model::Plunger& plunger, double rest_speed_mps,
                 double now_s, std::vector<LinesEvent>& events) {
  const double travel = plunger.travel_m / kLiftUnit_m;
  if (row.bridge == Bridge::kDecay && row.winding_a(y) <= 0.0) {
    if (!row.magnet()) y[RowEquations::kCurrent] = 0.0;
    row.bridge = Bridge::kOff;
  }
  const double friction_n = plunger.coulomb_friction_n;
  if (row.contact != Contact::kFree) {
    start_plunger(row, y, friction_n, now_s, events);
    return;
  }
  double& speed = y[RowEquations::kSpeed];
  const bool at_seat = y[RowEquations::kLift] <= 0.0;
  if (at_seat || y[RowEquations::kLift] >= travel) {
    y[RowEquations::kLift] = at_seat ? 0.0 : travel;
    if (at_seat ? speed < 0.0 : speed > 0.0) {
      events.push_back({now_s, at_seat ? PlungerEvent::kHitSeat : PlungerEvent::kHitStop});
      speed *= -plunger.restitution_ratio;
    }
    row.sense = at_seat ? 1.0 : -1.0;
    if (std::abs(speed) >= rest_speed_mps) return;
    speed = 0.0;
    row.contact = at_seat ? Contact::kSeat : Contact::kStop;
  } else if (friction_n > 0.0 && row.sense * speed <= 0.0) {
    speed = 0.0;
    row.contact = Contact::kStuck;
    start_plunger(row, y, friction_n, now_s, events);
  }
}

struct Switch {
  double at_s;
  Bridge to;
};

std::vector<Switch> switches_of(std::span<const OnOff> pulses, double end_s, bool slow_decay) {
  std::vector<Switch> switches;
  for (const OnOff& pulse : pulses) {
    switches.push_back({pulse.on_s, Bridge::kDrive});
    switches.push_back({pulse.off_s, slow_decay ? Bridge::kFreewheel : Bridge::kDecay});
  }
  switches.push_back({end_s, Bridge::kOff});
  return switches;
}

// Samples the dense output of the step that ends at to_s; that step's equations are in force.
template <class Stepper>
void sample(const Stepper& stepper, const RowEquations& row, double to_s, double every_s,
            State& probe, std::vector<LinesTrace>& trace) {
  for (double at_s = static_cast<double>(trace.size()) * every_s; at_s <= to_s;
       at_s = static_cast<double>(trace.size()) * every_s) {
    stepper.calc_state(at_s, probe);
    trace.push_back(row.trace_of(at_s, probe));
  }
}

// The instant between from_s and to_s at which margin() is no longer positive: an event lies there.
// `y` becomes the state at that instant.
template <class Stepper>
double event_time_s(const Stepper& stepper, const RowEquations& row, const model::Plunger& plunger,
                    double from_s, double to_s, State& probe, State& y) {
  for (int halving = 0; halving < 60 && to_s - from_s > 1e-12; ++halving) {
    const double middle_s = 0.5 * (from_s + to_s);
    stepper.calc_state(middle_s, probe);
    (margin(row, probe, plunger) <= 0.0 ? to_s : from_s) = middle_s;
  }
  stepper.calc_state(to_s, y);
  return to_s;
}

}  // namespace

LinesRun run_method_of_lines(const model::RowUnitParams& params, double supply_pressure_pa,
                             double supply_voltage_v, std::span<const OnOff> pulses, double end_s,
                             const LinesSetup& setup, bool with_trace) {
  RowEquations row(params, supply_pressure_pa, supply_voltage_v, setup);
  const auto system = [&row](const State& y, State& rate, double time_s) { row(y, rate, time_s); };
  auto stepper = boost::numeric::odeint::make_dense_output(
      setup.tolerance_ratio, setup.tolerance_ratio,
      boost::numeric::odeint::runge_kutta_dopri5<State>());
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
      if (margin(row, y, params.valve.plunger) <= 0.0) {
        to_s = event_time_s(stepper, row, params.valve.plunger, from_s, to_s, probe, y);
        if (with_trace && sampled)
          sample(stepper, row, to_s, setup.sample_every_s, probe, run.trace);
        apply_event(row, y, params.valve.plunger, setup.rest_speed_mps, to_s, run.events);
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

model::BandShape band_of(std::span<const OutletSample> outlet, const model::RowUnitParams& row,
                         double from_s, double to_s, double ground_speed_mps,
                         const model::JetAim& aim) {
  const double dribble_mps = model::dribble_speed_mps(row.liquid, row.outlet);
  std::vector<model::Parcel> parcels;
  for (const OutletSample& sample : outlet) {
    if (sample.time_s < from_s || sample.time_s >= to_s || !(sample.volume_m3 > 0.0)) continue;
    parcels.push_back(
        {.x_ground_m = ground_speed_mps * sample.time_s +
                       model::jet_reach_m(sample.jet_speed_mps, ground_speed_mps, aim),
         .volume_m3 = sample.volume_m3,
         .dribble = sample.jet_speed_mps < dribble_mps,
         .secondary = false});
  }
  return model::band_shape(parcels);
}

}  // namespace support
