// `outlet`: outlet bores, hoses and tubes over a grid. Each part is judged as a whole and
// one is recommended.
//
//   pressure    least supply pressure whose steady flow gives the rate at the scenario's speed; its
//               margin is the supply's pressure over it
//   jet         its margin is the mean speed in the bore over the speed below which the outlet
//               drips; where the jet can reach the seed also 1 over the thrust in seed weights, if
//               that is smaller
//   plugging    bore over the openings of the strainer
//   the rest    outlet_pulses.h, outlet_fullness.h; demands and choice: outlet_choice.h
//
// Every part is pulsed at 10 to 90 Hz in steps of 5. The parts of the Pareto list, and the
// attachment as stated, are then pulsed in steps of 1, because a resonance is narrower than 5 Hz.
// They are compared again, and one of them is recommended.
//
// A part that cannot pass the rate is not pulsed; the reports show none of its pulse figures.
// Errors   InputError: no part to choose from, more than kMostCandidates, an unknown wall;
//          Interrupted; BenchError
// Checked  tests/sim/study/outlet/outlet_study_test.cc
#pragma once

#include <array>
#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "sim/measure/summary.h"
#include "sim/output/ledger.h"
#include "sim/study/outlet/outlet_fullness.h"
#include "sim/study/outlet/outlet_part.h"
#include "sim/study/outlet/outlet_pulses.h"
#include "sim/study/run/run.h"

namespace sim::outlet {

inline constexpr std::size_t kMostCandidates = 5000;

/// An empty list stands for the grid around the attachment.
struct OutletAxes {
  std::vector<double> bores_m;
  std::vector<double> tube_bores_m;
  std::vector<double> tube_lengths_m;
  std::vector<double> hose_bores_m;
  std::vector<double> hose_lengths_m;
  std::vector<std::string> tube_walls;
  std::vector<std::string> hose_walls;
};

/// Openings of a wire cloth by its number of wires per inch.
struct Strainer {
  int mesh = 50;
  double opening_m = 300e-6;
};

/// What a part must do, in the order of the report's table.
enum class Demand : std::uint8_t {
  kServesRate,
  kHoldsPressure,  // the regulator can hold a pressure as low as this
  kFollows,
  kHoldsLiquid,
  kJets,
  kLeavesSeed,
  kPassesGrit,
};
inline constexpr std::size_t kDemands = 7;

struct OutletCandidate {
  OutletPart part;
  int changes = 0;  // number of entries that differ from the attachment as stated
  WaveSpeedRange wave_speeds;
  double wave_speed_mps = 0.0;
  double largest_flow_m3ps = 0.0;  // at the supply's full pressure
  double pressure_pa = 0.0;        // for the rate; the supply's full pressure where that is too low
  double pressure_ratio = 0.0;     // the supply's over pressure_pa
  measure::JetFigures jet;
  double jet_margin_ratio = 0.0;
  double plugging_ratio = 0.0;
  Fullness full;
  PulseFigures pulses;
  bool pulsed = false;
  std::array<bool, kDemands> holds{};
  bool works = false;              // every demand holds
  bool looked_at_closely = false;  // pulsed in steps of 1 Hz
  bool pareto = false;             // no other part that works is better throughout
  double cost_m = 0.0;             // the least decides what is recommended
};

struct OutletResult {
  scenario::Scenario scenario;
  StandingAssumptions assumed;
  Strainer strainer;
  double flow_m3ps = 0.0;
  double speed_mps = 0.0;
  std::vector<OutletCandidate> candidates;
  std::size_t stated = 0;        // index of the attachment as it stands
  int recommended = -1;          // index; -1: no part works
  std::string nearest_workable;  // in words, where no part works
  output::RunHashes hashes;
};

struct OutletOptions {
  OutletAxes axes;
  StandingAssumptions assumed;
  Strainer strainer;
  std::vector<double> rates_hz;        // empty: 10 to 90 Hz in steps of 5
  std::vector<double> close_rates_hz;  // empty: 10 to 90 Hz in steps of 1
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
  output::Ledger* ledger = nullptr;  // finds and keeps pulses (pulse_record.h)
};

std::vector<OutletPart> outlet_parts(const scenario::Scenario& scenario, const OutletAxes& axes);
OutletCandidate judge_part(const scenario::Scenario& scenario, const OutletPart& part,
                           const OutletOptions& options);
OutletResult run_outlet_study(const scenario::Scenario& scenario,
                              const OutletOptions& options = {});

}  // namespace sim::outlet
