// A pulse of a reluctance solenoid turned into that of a solenoid with a constant force constant K,
// so that the same search finds starts and landings in both.
//
//   psi = integral of (u - R i) dt,  i' = i - (u - R i)/re,  y_m = psi - Ll i'
//   x   = g - [ (i' + ir)/y_m - ih/(ys - |y_m|) ]/c          (model/valve/reluctance.h)
//   y   = K x,  drive = F/K with F = c y_m^2/2:  so K x'' = (K^2/m) (drive - drive at the start)
//   K is the change of linkage over the whole travel at the current that a command ends with, over
//   the travel: y then has the size and the units of a linear solenoid's linkage.
//   The lift is known while the field is strong enough: noise of the current moves x by
//   noise/(c y_m), and an unsure edge of the command by its linkage times g/y_m; each must stay
//   below kUnsure_ratio of the travel.
//   The circuit is that of the setup, moved by what still stretches show (trace_iron_fit.h).
//
// Frame    indices of the window's samples
// Errors   none; a field that stays too weak leaves no samples (seen_to <= seen_from)
// Checked  tests/sim/study/valve/trace/trace_iron_test.cc
#pragma once

#include <vector>

#include "model/row_params.h"
#include "sim/study/valve/trace/trace_window.h"

namespace sim::valve {

/// Of the current at the end of a command: below it no plunger is expected to have moved.
inline constexpr double kFirstShare_ratio = 0.4;

struct IronFigures {
  model::Coil coil;           // its resistance as it was while the trace was recorded
  double travel_m = 0.0;      // the setup's: a trace gives gap and travel as a ratio only
  double constant_npa = 0.0;  // K, also in V s/m
  double noise_a = 0.0;
  double lift_off_a = 0.0;  // median over the pulses; kFirstShare_ratio at first
};

/// What the window's voltage misses because an edge lies anywhere between two samples.
struct EdgeLinkage {
  double on_vs = 0.0, on_sd_vs = 0.0;    // added to psi from the command on
  double off_vs = 0.0, off_sd_vs = 0.0;  // added from the command's end on, besides
};

struct IronCourse {
  std::vector<double> y_vs, drive_a;       // 0 before seen_from, held from seen_to on
  std::vector<double> by_edge_ratio;       // change of y per change of psi
  std::size_t seen_from = 0, seen_to = 0;  // the lift is known between them
};

/// Winding's current that belongs to a linkage at a lift while the terminals have this voltage.
double winding_current_a(const model::Coil& coil, double linkage_vs, double lift_m,
                         double voltage_v, double current_a);
/// Linkage at rest on the seat without current.
double rest_linkage_vs(const model::Coil& coil);
/// Keeps a circuit inside what the model allows: a gap above the travel, leakage below the
/// inductance, iron that leaves some inductance to the gap.
void keep_physical(model::Coil& coil, double travel_m);
/// K for the current with which commands end.
double equal_constant_npa(const model::Coil& coil, double travel_m, double hold_a);
/// Noise of y: the larger of those on the seat at half of that current and at the stop.
double equal_noise_vs(const IronFigures& iron, double hold_a);

IronCourse iron_course_of(const PulseWindow& window, const IronFigures& iron,
                          const EdgeLinkage& edges);
/// The edge at the command's on, from the samples before the plunger can have moved.
void find_on_edge(const PulseWindow& window, const IronFigures& iron, EdgeLinkage& edges);
/// The edge at its end, from the samples after it in which the plunger still stands at its stop.
void find_off_edge(const PulseWindow& window, const IronFigures& iron, double least_drive_a,
                   EdgeLinkage& edges);

}  // namespace sim::valve
