// A bench trace whose truth is known: the method of lines (another integrator than the one that is
// fitted) is sampled and then spoilt as probes spoil it.
//
//   measured = gain i + offset + drift t + noise, rounded to range / 2^(bits - 1)
//   lag      the current that pulls the plunger follows the coil's by a first-order lag (eddy
//            currents beside the coil): i_pull' = (i - i_pull)/lag; the coil's own equation and the
//            probe see i. The row model has no such lag
//   noise    gaussian by Box and Muller on counted draws (SplitMix64), so that traces repeat
//
// Errors   EXPECTS of the method of lines
// Source   quantiser: range is +-range, as oscilloscopes state it
// Checked  tests/sim/study/valve/trace/bench_trace_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "model/row_params.h"
#include "sim/study/valve/trace/valve_trace.h"
#include "tests/support/method_of_lines.h"

namespace support {

struct BenchOptions {
  double supply_pa = 3e5;
  double supply_v = 12.0;
  double rate_hz = 100e3;
  double end_s = 0.0;  // 0: a while after the last pulse
  bool slow_decay = false;
  double eddy_lag_s = 0.0;
  double current_noise_a = 0.0;
  double voltage_noise_v = 0.0;
  double pressure_noise_pa = 0.0;
  double flow_noise_m3ps = 0.0;
  double gain_ratio = 1.0;  // of the current probe
  double offset_a = 0.0;
  double drift_aps = 0.0;
  int bits = 0;  // 0: not rounded
  double range_a = 10.0;
  double range_v = 50.0;
  std::uint64_t draws = 1;  // another number gives another noise
  bool command = true, voltage = true;
  bool pressure = false, exit_pressure = false, flow = false, mass = false;
  int cells = 20;  // of hose and of tube
  double tolerance_ratio = 1e-5;
};

/// Not-a-number: the event did not happen before the next command.
struct PulseTruth {
  double on_s = 0.0, off_s = 0.0;
  double first_motion_s = 0.0;  // instants of the trace
  double at_stop_s = 0.0;
  double left_stop_s = 0.0;  // after the command's end
  double seated_s = 0.0;     // first contact with the seat after that
};

struct BenchTrace {
  sim::valve::ValveTrace trace;
  std::vector<PulseTruth> truth;
  LinesRun run;  // unspoilt, at the sample instants
};

BenchTrace bench_trace(const model::RowUnitParams& row, std::span<const OnOff> pulses,
                       const BenchOptions& options);

/// So many pulses that each start on a column at rest. Every pulse is a run of its own from rest;
/// the widths are 9, 10 and 11 ms in turn and off the samples' instants, and still stretches fill
/// the time between.
BenchTrace rested_bench_trace(const model::RowUnitParams& row, int pulses, double apart_s,
                              const BenchOptions& options);

/// An even train, as a rig's drive states it.
std::vector<OnOff> even_pulses(double first_on_s, double on_time_s, double period_s, int pulses);

/// Counted draws: the same number for the same stream and index.
double uniform_draw_ratio(std::uint64_t stream, std::uint64_t index);  // [0, 1)
double normal_draw_ratio(std::uint64_t stream, std::uint64_t index);   // mean 0, sd 1

}  // namespace support
