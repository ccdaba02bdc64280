// The valve of a setup fitted to a trace: which of its values the trace determines, and how well.
//
//   Least squares of the recorded current and back-EMF against the row model of the setup
//   (model/row/row_unit), which is driven by the trace's own commands. Most unknowns are
//   logarithms; a library's Levenberg-Marquardt solves for them.
//   Interval  95 %: covariance of the fit, widened by what the fit leaves over (misfit, correlated
//             residuals), by the stated tolerance of the probe's gain, by the standard error of the
//             driving voltage, by other step sizes, and by held values, which count as known to
//             25 % of themselves (mass and seat, which give the scale, as exact)
//   Told      an unknown whose interval is within `told_ratio` of it. The others keep the start's
//             value (the setup's; resistance, inductance and travel as the trace shows them), or
//             stay where the fit has them if the trace contradicts that, and are reported as held,
//             first those that a person can measure (mass, seat, travel): current alone determines
//             force constant, forces and mass only as ratios
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
  std::string key;   // a key of the valve: "coil.resistance"
  std::string name;  // "resistance"
  double setup_si = 0.0;
  double value_si = 0.0;
  double half_width_si = 0.0;  // of the 95 % interval; 0 where held
  bool told = false;           // true: the trace determines the value
  std::string why_held;        // empty where told
};

/// One fitted pulse: measured and modelled values over the time after the command.
struct FitCurve {
  double on_s = 0.0, off_s = 0.0;  // time of the trace
  std::vector<double> time_s;      // after on_s
  std::vector<double> measured_a;
  std::vector<double> modelled_a;
  std::vector<double> lift_m;  // modelled
};

struct ValveFit {
  model::Valve valve;               // fitted where told, the start's elsewhere
  std::vector<FittedValue> values;  // in the order of the valve's keys
  Eigen::MatrixXd correlation;      // of the told values, in their order
  double residual_a = 0.0;          // rms
  double noise_a = 0.0;
  double misfit_ratio = 0.0;  // residual over noise; 1: the model explains the trace
  bool misfit = false;        // larger than chance explains: intervals are widened
  double probe_gain_tolerance_ratio = 0.0;
  int pulses = 0;
  int evaluations = 0;
  std::vector<FitCurve> curves;    // one curve: the first pulse that was fitted
  std::vector<std::string> notes;  // sentences
  // Modelled times of the pulse in `curves`, from command to event; the trace's stand beside them.
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

/// The text of a file that `valve.file` reads: every key of the valve with its unit, evidence in
/// comments.
std::string valve_file_text(const ValveFit& fit, const std::string& setup_name);

}  // namespace sim::valve
