// One setup of the rig: valve, line and outlet on a bench; an ideal end can replace any part.
//
//   chain       supply -> hose -> valve -> tube -> outlet, driven by [drive]
//   bare tube   [inlet] replaces supply, hose and valve, or the valve alone ("opening")
//
// scenarios/manual/rig.md describes sections and words. All pressures are gauge except the vapour
// pressure.
// Errors   InputError with file, line, key and what to change
// Checked  tests/sim/study/rig/rig_setup_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "model/fluid/ideal_inlet.h"
#include "model/history.h"
#include "sim/scenario/scenario.h"
#include "sim/scenario/sections.h"
#include "sim/study/rig/measured.h"

namespace sim::rig {

/// Chain: hose and valve as they are; the others are the ideal inlets of a bare tube.
enum class RigInlet : std::uint8_t { kChain, kFlow, kPressure, kOpening };

/// How the bridge ends a pulse: the supply reversed, or zero volts through a diode.
enum class CurrentDecay : std::uint8_t { kFast, kSlow };

struct RigDrive {
  double first_on_s = 1e-3;
  double on_time_s = 16.9e-3;
  double period_s = 33.75e-3;
  int pulses = 1;
  double supply_v = 12.0;
  double current_limit_a = 0.0;  // 0: the coil's own resistance limits
  CurrentDecay decay =
      CurrentDecay::kFast;  // after the command: the supply reversed, or freewheeling
};

/// The standard programme of a valve: what `valve` runs in addition to the drive's own pulse.
struct RigProgramme {
  std::vector<double> widths_s;  // of single pulses; empty: 1 to 30 ms
  std::vector<double> repetitions_hz = {10.0, 12.0, 20.0, 30.0, 37.0, 45.0, 60.0, 75.0, 90.0};
  std::vector<double> voltages_v = {10.0, 11.0, 12.0, 13.0, 14.0};
  std::vector<double> coil_temperatures_k = {263.15, 293.15, 353.15};
  std::vector<double> pressures_pa;  // empty: 0.5, 1 and 1.5 times the supply's
  int lift_steps = 8;           // of the current, from lift-off to the most that the supply gives
  int pulses = 100;             // of the repeatability
  double scatter_ratio = 0.12;  // sd of their period over it
  double dose_error_ratio = 0.10;    // allowed to a repetition, against one pulse alone
  double linear_error_ratio = 0.05;  // of the dose, against the straight line over the width
};

/// What the bench measures with, and the limits that judge the valve's figures.
struct RigBench {
  double probe_gain_tolerance_ratio = 0.03;  // 95 % of the current probe's gain error
  double probe_range_a = 0.0;                // largest current that it shows; 0: not known
  std::string limits;                        // a limits file
  // For an invented trace (sim/study/valve/invented_trace.h), which replaces a measured one.
  double sample_hz = 20e3;
  double current_noise_a = 5e-3;
  double voltage_noise_v = 20e-3;
  int bits = 12;      // of the converter, over twice the probe's range
  int odd_every = 0;  // every odd_every-th pulse has the friction below; 0: none
  double odd_friction_n = 0.0;
  bool weighed = false;         // with a column of collected mass
  bool widths_in_turn = false;  // the pulses take the programme's widths in turn, not one on time
};

/// A train of trapezoids that starts at t = 0.
struct RigTrain {
  double peak = 0.0;  // tidy: unit is the inlet's
  double rise_s = 0.0;
  double hold_s = 0.0;
  double fall_s = 0.0;
  double frequency_hz = 0.0;
  int pulses = 1;
};

struct RigRecord {
  double every_s = 20e-6;
  std::vector<double> at_s;  // instants instead of a raster
  double duration_s = 0.0;   // 0: until some time after the last pulse or instant
};

struct RigSetup {
  std::string name = "unnamed";
  std::string title;
  scenario::LiquidSection liquid;
  double supply_pa = 3e5;
  scenario::AttachmentSection part;  // hose, valve, tube, outlet, jet
  model::GasPocket gas;
  model::IdealEnd end;
  RigInlet inlet = RigInlet::kChain;
  model::IdealInlet ideal;
  model::History history;
  RigTrain train;  // as stated, where a train makes the history
  RigDrive drive;
  double ground_speed_mps = 160.0 / 36.0;
  double atmosphere_pa = shared::kStandardAtmosphere_pa;
  RigRecord record;
  RigProgramme programme;
  RigBench bench;
  RigMeasured measured;
  model::SolverParams solver;
  // A chain whose stations, terms and form are not stated is judged as a scenario's row is
  // (sim/bench/line_form.h).
  bool judge_form = false;
};

/// The most instants that a rig run records, and the most steps that it takes.
inline constexpr double kMostRigInstants_ratio = 5e6;
inline constexpr double kMostRigSteps_ratio = 1e9;
/// Duration of a run: as stated, or until the column has come to rest after the last pulse.
double rig_duration_s(const RigSetup& setup);

RigSetup load_rig_setup(const std::filesystem::path& file,
                        const std::vector<std::string>& sets = {});
/// The row that the setup describes; for a bare tube its hose and valve are not used.
model::RowUnitParams row_of(const RigSetup& setup);
/// Every key of a setup with its help, for `list rig`.
std::vector<text::KeyHelp> rig_keys();
void describe(RigSetup& setup, text::Fields& fields);

}  // namespace sim::rig
