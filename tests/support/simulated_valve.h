// A valve over a cup, by equations of its own: coil, plunger, orifices and a leak that never stops.
// It shares nothing with model/ and adds up its own doses, so that a valve check can be compared
// with them.
//
//   coil       L di/dt = u - R i - K v                 u: supply while driven, zero after (a diode)
//   plunger    m dv/dt = K i - F0 - k x - c v          between seat (0) and stop; no rebound
//   flow       Q = sqrt(2 p/rho)/sqrt(1/(C A(x))^2 + 1/(C Ao)^2),  A(x) = pi d x: seat and outlet
//              in series, no column of liquid between; dose of a pulse = integral of Q
//   leak       constant, beside Q, at all times: no part of any dose
//   Classical Runge-Kutta of Boost.Odeint, 10 us; the stops act at the ends of steps.
//
// Shapes   flow, mass, voltage and command beside the current, one value per sample
// Errors   none
// Source   textbook (solenoid with constant force factor, orifices in series)
// Checked  tests/sim/study/valve/dose_books_test.cc
#pragma once

#include <span>
#include <string>
#include <vector>

#include "sim/study/valve/trace/valve_trace.h"

namespace support {

struct SimulatedValve {
  double supply_v = 12.6, resistance_ohm = 4.0, inductance_h = 1e-3;
  double force_npa = 10.0;  // K, newton per ampere
  double mass_kg = 5e-3, preload_n = 8.0, spring_npm = 2000.0, damping_nspm = 0.5;
  double travel_m = 0.8e-3, seat_m = 4e-3, outlet_m = 1.6e-3, discharge_ratio = 0.62;
  double pressure_pa = 1e5, density_kgpm3 = 1000.0;
  double leak_m3ps = 0.0;
  double rest_before_s = 1.0;  // ahead of the first pulse
  double sample_hz = 10e3;
  double current_noise_a = 5e-3;
};

struct SimulatedTrace {
  sim::valve::ValveTrace trace;
  std::vector<double> doses_m3;  // what each pulse passed without the leak
};

/// Pulses of these widths, with a rest after each.
SimulatedTrace simulated_trace(const SimulatedValve& valve, std::span<const double> widths_s,
                               double rest_s);
/// The file that a bench writes: command, voltage, current, flow and collected mass.
std::string simulated_csv(const sim::valve::ValveTrace& trace);

}  // namespace support
