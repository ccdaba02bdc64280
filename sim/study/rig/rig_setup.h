// One setup of the rig: valve, line and outlet on a bench, any part replaced by an ideal end.
//
//   chain       supply -> hose -> valve -> tube -> outlet, driven by [drive]
//   bare tube   [inlet] in place of supply, hose and valve, or of the valve alone ("opening")
//
// Sections and words are those of scenarios/manual/rig.md. All pressures gauge but the vapour
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

namespace sim::rig {

/// Chain is the whole of hose and valve; the others are the ideal inlets of a bare tube.
enum class RigInlet : std::uint8_t { kChain, kFlow, kPressure, kOpening };

/// How the bridge ends a pulse: the supply against the current, or zero volts through a diode.
enum class CurrentDecay : std::uint8_t { kFast, kSlow };

struct RigDrive {
  double first_on_s = 1e-3;
  double on_time_s = 16.9e-3;
  double period_s = 33.75e-3;
  int pulses = 1;
  double supply_v = 12.0;
  double current_limit_a = 0.0;  // 0: the coil's own resistance limits
  CurrentDecay decay =
      CurrentDecay::kFast;  // after the command: against the supply, or freewheeling
};

/// The standard programme of a valve: what `valve` runs beside the drive's own pulse.
struct RigProgramme {
  std::vector<double> widths_s;  // of single pulses; empty: 1 to 30 ms
  std::vector<double> repetitions_hz = {10.0, 12.0, 20.0, 30.0, 37.0, 45.0, 60.0, 75.0, 90.0};
  std::vector<double> voltages_v = {10.0, 11.0, 12.0, 13.0, 14.0};
  std::vector<double> coil_temperatures_k = {263.15, 293.15, 353.15};
  std::vector<double> pressures_pa;  // empty: half, once and one and a half times the supply's
  int lift_steps = 8;                // of the current, from lift-off to what the supply gives
  int pulses = 100;                  // of the repeatability
  double scatter_ratio = 0.12;       // sd of their period over it
  double dose_error_ratio = 0.10;    // that a repetition may have against a pulse alone
  double linear_error_ratio = 0.05;  // of the dose, from the straight line over the width
};

/// What the bench measures with, and what the valve's figures are held against.
struct RigBench {
  double probe_gain_tolerance_ratio = 0.03;  // 95 % of the current probe's gain error
  double probe_range_a = 0.0;                // largest current it tells; 0: not known
  std::string limits;                        // a limits file
  // Of an invented trace (sim/study/valve/invented_trace.h): what stands in a bench's place.
  double sample_hz = 20e3;
  double current_noise_a = 5e-3;
  double voltage_noise_v = 20e-3;
  int bits = 12;      // of the converter, over twice the probe's range
  int odd_every = 0;  // every so many pulses one with the friction below; 0: none
  double odd_friction_n = 0.0;
  bool weighed = false;         // a column of collected mass
  bool widths_in_turn = false;  // pulses of the programme widths instead of one on time
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
  double duration_s = 0.0;   // 0: a while past the last pulse or instant
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
  RigTrain train;  // as stated, where the history is a train
  RigDrive drive;
  double ground_speed_mps = 160.0 / 36.0;
  double atmosphere_pa = shared::kStandardAtmosphere_pa;
  RigRecord record;
  RigProgramme programme;
  RigBench bench;
  model::SolverParams solver;
};

/// A rig run holds so many instants at most, and takes so many steps.
inline constexpr double kMostRigInstants_ratio = 5e6;
inline constexpr double kMostRigSteps_ratio = 1e9;
/// How long a run lasts: as stated, or until the column has come to rest after the last pulse.
double rig_duration_s(const RigSetup& setup);

RigSetup load_rig_setup(const std::filesystem::path& file,
                        const std::vector<std::string>& sets = {});
/// The row that the setup describes; of a bare tube, hose and valve do not count.
model::RowUnitParams row_of(const RigSetup& setup);
/// Every key of a setup as people are told of it: `list rig`.
std::vector<text::KeyHelp> rig_keys();
void describe(RigSetup& setup, text::Fields& fields);

}  // namespace sim::rig
