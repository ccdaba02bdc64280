// What a fit compares: the samples of chosen pulses of a trace, and the same samples computed by
// the row model with a given valve.
//
//   Where at least three pulses start from a column at rest (0.2 s after the pulse before), only
//   such pulses are taken: the slosh after a pulse shifts landings by 0.3 ms, and two sound models
//   differ there by 10 us.
//   Any other pulse is simulated together with the pulses of the 0.2 s before it.
//   The samples of a pulse run from its command on until 10 ms after its command off, or to the
//   next command; samples closer than 5 us are averaged.
//   current    as recorded, less the probe's offset and drift
//   back-EMF   voltage at the terminals once the current has ended in the noise: R i and the rate
//              of the linkage. Linear law without current: Kf v; reluctance law: fades by eddy
//              currents
//
// Shapes   residual rows: all currents of pulse 0, its back-EMF bins, currents of pulse 1, ...
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

/// Mean of the back-EMF over neighbouring samples. It rests on the change of linkage over the time
/// of the bin, so a landing inside the bin changes it smoothly.
struct EmfBin {
  double from_s = 0.0, to_s = 0.0;
  double mean_v = 0.0;
  double noise_v = 0.0;  // includes what a jump between two samples leaves open
};

struct FitPulse {
  std::size_t command = 0;  // index of its command in the run
  std::vector<double> time_s;
  std::vector<double> current_a;
  std::vector<double> voltage_v;    // empty: not recorded
  std::size_t first_after_off = 0;  // index of a sample
  std::vector<EmfBin> emf;          // while the coil is without current
  double current_noise_a = 0.0;     // of one of these averaged samples
  double voltage_noise_v = 0.0;
};

/// A stretch that is simulated in one piece; its instants count from start_s of the trace.
struct FitRun {
  double start_s = 0.0;
  std::vector<bench::PulseCommand> commands;
  std::vector<double> supply_v;     // one for each command
  std::vector<double> supply_se_v;  // standard error of that mean; 0: no voltage was recorded
  std::vector<FitPulse> pulses;     // the pulses that are compared
};

/// At most `most` pulses that a fit can use; pulses of different widths and voltages come first.
std::vector<FitRun> choose_pulses(const ValveTrace& trace, const TraceFindings& findings, int most);

struct FitSamples {
  std::vector<double> current_a;
  std::vector<double> emf_v;  // one for each bin
  std::vector<double> lift_m;
};

/// Shifts of a pulse's edges: a sample after the edge is compared with the model this much
/// earlier.
struct EdgeShift {
  double on_s = 0.0, off_s = 0.0;
};

/// The simulated run at the ends of steps: entry k stands at (k + 1) step_s.
struct FitCourse {
  double step_s = 0.0;
  double resistance_ohm = 0.0;  // of the winding, at its temperature
  std::vector<double> current_a, lift_m;
  std::vector<double> linkage_vs;  // linear law: L i + Kf x
};

/// `step_ns` is the solver's largest step.
FitCourse model_course(const rig::RigSetup& setup, const model::Valve& valve, const FitRun& run,
                       std::int64_t step_ns);
FitSamples samples_of(const FitCourse& course, const FitPulse& pulse, const EdgeShift& shift);

}  // namespace sim::valve
