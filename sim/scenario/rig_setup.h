// One setup of the rig: valve, line and outlet on a bench, any part replaced by an ideal end.
//
//   chain       supply -> hose -> valve -> tube -> outlet, driven by [drive]
//   bare tube   [inlet] in place of supply, hose and valve, or of the valve alone ("opening")
//
// Sections and words are the README's (Rig). All pressures gauge but the vapour pressure.
// Errors   InputError with file, line, key and what to change
// Checked  tests/sim/rig_setup_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "model/fluid/ideal_inlet.h"
#include "model/history.h"
#include "sim/scenario/scenario.h"
#include "sim/scenario/sections.h"

namespace sim {

/// Chain is the whole of hose and valve; the others are the ideal inlets of a bare tube.
enum class RigInlet : std::uint8_t { kChain, kFlow, kPressure, kOpening };

struct RigDrive {
  double first_on_s = 1e-3;
  double on_time_s = 16.9e-3;
  double period_s = 33.75e-3;
  int pulses = 1;
  double supply_v = 12.0;
  double current_limit_a = 0.0;  // 0: the coil's own resistance limits
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
  LiquidSection liquid;
  double supply_pa = 3e5;
  AttachmentSection part;  // hose, valve, tube, outlet, jet
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
  model::SolverParams solver;
};

RigSetup load_rig_setup(const std::filesystem::path& file,
                        const std::vector<std::string>& sets = {});
/// The row that the setup describes; of a bare tube, hose and valve do not count.
model::RowUnitParams row_of(const RigSetup& setup);
/// Every key of a setup as people are told of it: `list rig`.
std::vector<KeyHelp> rig_keys();
void describe(RigSetup& setup, Fields& fields);

}  // namespace sim
