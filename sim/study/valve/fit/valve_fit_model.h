// What a fit compares: samples of a trace's chosen pulses, and the same samples out of the row
// model with a given valve.
//
//   Pulses that start on a column at rest (0.2 s behind another) are taken where there are any: the
//   slosh behind a pulse shifts landings by 0.3 ms, and two sound models differ there by 10 us.
//   Others are simulated with those before them within 0.2 s;
//   its samples are those from the command on until 10 ms after the command off, averaged over
//   5 us where they lie closer.
//   current    as recorded, less the probe's offset and drift
//   back-EMF   terminals' voltage once the current has ended: Kf v
//
// Shapes   residual rows: all currents of pulse 0, its back-EMF, currents of pulse 1, ...
// Errors   BenchError when the model leaves physics
// Checked  tests/sim/study/valve/fit/valve_fit_test.cc
#pragma once

#include <Eigen/Dense>
#include <span>
#include <vector>

#include "sim/study/rig/rig_setup.h"
#include "sim/study/rig/valve_drive.h"
#include "sim/study/valve/trace/trace_pulses.h"

namespace sim::valve {

/// Mean of the back-EMF over neighbouring samples: Kf times the way, so a landing inside the bin
/// moves it smoothly.
struct EmfBin {
  double from_s = 0.0, to_s = 0.0;
  double mean_v = 0.0;
  double noise_v = 0.0;  // with what a jump between two samples leaves open
};

struct FitPulse {
  std::size_t command = 0;  // of its run
  std::vector<double> time_s;
  std::vector<double> current_a;
  std::vector<double> voltage_v;    // empty: not recorded
  std::size_t first_after_off = 0;  // sample
  std::vector<EmfBin> emf;          // while the coil is without current
  double current_noise_a = 0.0;     // of one of these samples
  double voltage_noise_v = 0.0;
};

/// A stretch that is simulated as one; instants count from start_s of the trace.
struct FitRun {
  double start_s = 0.0;
  std::vector<tune::PulseCommand> commands;
  std::vector<double> supply_v;     // of each command
  std::vector<double> supply_se_v;  // standard error of that mean; 0: nobody measured it
  std::vector<FitPulse> pulses;     // those that are compared
};

/// Pulses that a fit can use, of different widths and voltages first; at most `most`.
std::vector<FitRun> choose_pulses(const ValveTrace& trace, const TraceFindings& findings, int most);

struct FitSamples {
  std::vector<double> current_a;
  std::vector<double> emf_v;  // of the bins
  std::vector<double> lift_m;
};

/// Shifts of a pulse's edges: what was driven so much later moves by that in time.
struct EdgeShift {
  double on_s = 0.0, off_s = 0.0;
};

/// The run as simulated; ends of steps: entry k stands at (k + 1) step_s.
struct FitCourse {
  double step_s = 0.0;
  double force_constant_npa = 0.0;
  std::vector<double> current_a, lift_m;
};

/// `step_ns` is the solver's largest step.
FitCourse model_course(const rig::RigSetup& setup, const model::Valve& valve, const FitRun& run,
                       std::int64_t step_ns);
FitSamples samples_of(const FitCourse& course, const FitPulse& pulse, const EdgeShift& shift);

}  // namespace sim::valve
