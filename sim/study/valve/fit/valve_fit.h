// The valve of a setup fitted to a trace: which of its values the trace can tell, and how surely.
//
//   least squares of recorded current and back-EMF against the row model of the setup
//   (model/row/row_unit) driven by the trace's own commands, over the logarithms of the unknowns;
//   Levenberg-Marquardt of a library
//   Interval  95 %: covariance of the fit widened by what the fit leaves over (misfit, correlated
//             residuals), by the stated tolerance of the probe's gain, by the standard error of
//             the driving voltage, by other step sizes, and by held values, which count as known
//             to 25 % of themselves (mass and seat, which give the scale, as exact)
//   Told      an unknown whose interval is within `told_ratio` of it; the others are held at the
//             setup's value, in an order that a person can measure first (mass, seat, travel),
//             and said to be so: current alone tells force constant, forces and mass as ratios
//
// Errors   InputError: no pulse that can be fitted; Interrupted
// Checked  tests/sim/study/valve/fit/valve_fit_test.cc, tests/published/valve_fit_slow_test.cc
#pragma once

#include <Eigen/Dense>
#include <atomic>
#include <string>
#include <vector>

#include "sim/study/rig/rig_setup.h"
#include "sim/study/valve/trace/trace_pulses.h"

namespace sim::valve {

struct FittedValue {
  std::string key;   // of the valve: "coil.resistance"
  std::string name;  // "resistance"
  double setup_si = 0.0;
  double value_si = 0.0;
  double half_width_si = 0.0;  // of the 95 % interval; 0 where held
  bool told = false;           // by the trace; otherwise as the setup says
  std::string why_held;        // empty where told
};

/// Measured and modelled, on the time after the command, of one fitted pulse.
struct FitCurve {
  double on_s = 0.0, off_s = 0.0;  // of the trace
  std::vector<double> time_s;      // after on_s
  std::vector<double> measured_a;
  std::vector<double> modelled_a;
  std::vector<double> lift_m;  // modelled
};

struct ValveFit {
  model::Valve valve;               // fitted values where told, the setup's elsewhere
  std::vector<FittedValue> values;  // in the order of the valve's keys
  Eigen::MatrixXd correlation;      // of the told ones, in their order
  double residual_a = 0.0;          // rms
  double noise_a = 0.0;
  double misfit_ratio = 0.0;  // residual over noise; 1: the model explains the trace
  bool misfit = false;        // more than chance explains: intervals are widened and said to be so
  double probe_gain_tolerance_ratio = 0.0;
  int pulses = 0;
  int evaluations = 0;
  std::vector<FitCurve> curves;    // of the first pulse of every kind that was fitted
  std::vector<std::string> notes;  // sentences
  // Modelled times of the fitted pulse, command to event, beside which the trace's stand.
  double first_motion_after_s = 0.0, at_stop_after_s = 0.0, left_stop_after_s = 0.0,
         seated_after_s = 0.0;
};

struct FitOptions {
  double told_ratio = 0.25;
  int most_pulses = 4;
};

ValveFit fit_valve(const rig::RigSetup& setup, const ValveTrace& trace,
                   const TraceFindings& findings, const FitOptions& options,
                   const std::atomic<bool>* stop = nullptr);

/// A file that `valve.file` takes: every key of the valve with its unit, evidence in comments.
std::string valve_file_text(const ValveFit& fit, const std::string& setup_name);

}  // namespace sim::valve
