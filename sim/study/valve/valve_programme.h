// The standard programme of a valve on its bench: single pulses over widths, bursts over
// repetitions, steps of lift, supply voltages, coil temperatures and pressures, and the figures
// from them.
//
//   opening, closing   first motion, landing and half flow after the command, of one pulse of the
//                      drive's own width alone in still liquid
//   shortest pulse     that passes liquid: found by halving to 10 us; the plunger lifts by more
//                      than 1 % of its travel. Shortest on the straight line: DoseLine::from_s
//   shortest closed    gap between two commands after which the plunger was seated in between
//   repetition         a train of ten pulses of the drive's on time, at most the period less the
//                      shortest closed time; its error is the largest |dose/alone - 1| of the
//                      pulses between the first and the last, alone being one pulse of the same
//                      width
//   linear share       of the duty at that repetition: longest straight part of dose over width
//   repeatability      `pulses` pulses at the drive's period with normal scatter: sd of dose and of
//                      instants, whatever the column does to them
//   smallest dose      that repeats: the shortest dose on the straight line, plus the leak of a
//                      period
//   highest rate       mean flow at the drive's repetition with the longest pulse that still closes
//   lowest voltage     (F0 + friction + A_s p) R / Kf: the current that lifts the plunger off its
//                      seat, through the hot coil
//
// Errors   InputError: no valve in the setup (an ideal inlet), a valve that never opens;
//          BenchError; Interrupted. The runs are placed by index: any number of threads gives the
//          same bytes
// Checked  tests/sim/study/valve/valve_programme_test.cc, tests/published/valve_signs_test.cc
#pragma once

#include <functional>
#include <vector>

#include "model/row/row_unit.h"
#include "model/valve/wear.h"
#include "sim/study/rig/valve_drive.h"
#include "sim/study/valve/valve_dose.h"

namespace sim::valve {

/// Time that a drive goes on after the last pulse, so that plunger and line settle.
inline constexpr double kSettle_s = 0.12;

struct ConditionRun {
  rig::ValveConditions conditions;
  rig::TimedPulse pulse;
};

struct RepetitionRun {
  double rate_hz = 0.0;
  double on_s = 0.0;
  double duty_ratio = 0.0;
  double error_ratio = 0.0;  // largest relative error of the dose, against one pulse alone
  bool seats_between = false;
  double linear_share_ratio = 0.0;  // of the duty
};

struct RepeatFigures {
  int pulses = 0;
  double period_s = 0.0;
  double dose_mean_m3 = 0.0;
  double dose_sd_ratio = 0.0;
  double opening_sd_s = 0.0;
  double closing_sd_s = 0.0;
};

struct ValveProgramme {
  rig::RigSetup setup;
  rig::TimedPulse nominal;
  rig::ValveHistory history;  // of the nominal pulse
  std::vector<double> widths_s, doses_m3;
  DoseLine line;
  double shortest_passing_s = 0.0;
  double shortest_closed_s = 0.0;
  std::vector<ConditionRun> voltages, temperatures, pressures;
  std::vector<rig::HeldLift> lifts;
  model::LiftVerdict lift;
  std::vector<RepetitionRun> repetitions;
  double highest_repetition_hz = 0.0;  // all tried ones up to it keep the dose error; 0: none
  RepeatFigures repeat;
  double steady_m3ps = 0.0;
  double smallest_m3 = 0.0;  // smallest dose that repeats, with the leak of one period of the drive
  double highest_m3ps = 0.0;
  double leak_m3ps = 0.0;
  double lowest_voltage_v = 0.0;
  double resistance_ohm = 0.0;  // at the coil's temperature
  double hours_so_far_s = 0.0;  // time at work so far, at the drive's repetition
  double used_ratio = 0.0;
  model::LifeLeft left;
};

ValveProgramme run_valve_programme(const rig::RigSetup& setup,
                                   const std::atomic<bool>* stop = nullptr);

}  // namespace sim::valve
