// `score`: what a real controller did, by a recording of its pins, judged against every seed as
// `run` judges a controller on the bench.
//
//   recording -> seeds (each rising edge of a sensor) and driven times -> row model -> bands
//   -> placement, length, dose and requirements
//
//   The scenario is the set-up around the recorded controller: machine, row, attachment, liquid,
//   delivery. Its rows are as many as were recorded, its seeds those of the recording. The pressure
//   is that of the reference machine controller.
//
// Parts    a recording of more than kHeldSeeds seeds is scored as it is read, in constant memory:
//          its figures are those of sim/measure/summary_parts.h, its tables are written as they
//          come, and drawings show its first part. Requirements over time need the whole recording
//          at hand, and so it is held then
// Valid    the recording's own resolution moves each edge by up to half of it: it is stated in mm
//          of placement at the scenario's speed and subtracted from nothing
// Errors   InputError: a recording without edges, or a set-up that cannot be served
// Checked  tests/sim/study/score/score_test.cc, tests/sim/study/score/score_parts_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "sim/study/run/report.h"
#include "sim/study/run/run.h"
#include "sim/study/run/tables.h"
#include "sim/study/score/capture.h"
#include "sim/study/score/openings.h"

namespace sim::score {

/// A recording with more seeds is not held whole.
inline constexpr long long kHeldSeeds = 30'000;

struct ScoreOptions {
  std::string recording = "the recording";  // as errors name it
  long long held_seeds = kHeldSeeds;
  std::filesystem::path folder = ".";  // long tables are kept in or above it while they are made
  double start_s = 0.0;                // what comes before is left out
  bool off_decays_fast = true;         // what the driver does when the drive goes off
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

struct Score {
  run::RunResult result;
  double lasts_s = 0.0;
  double later_s = 0.0;  // bench time less the recording's
  double resolution_s = 0.0;
  bool resolution_known = false;
  double half_resolution_m = 0.0;        // of placement, at the fastest speed
  long long pulses = 0;                  // of all valves
  std::vector<std::string> unjudged;     // requirements on what a recording of pins does not show
  double current_step_s = 0.0;           // between samples of a coil's current; 0: none
  std::vector<OpeningFigures> openings;  // by row
  long long drawn_seeds = -1;            // of all rows, in the report's drawings; -1: all
  std::vector<std::string> doubts;       // what of it looks like a mistake of wiring or names
  bool held_for_time = false;  // requirements over time kept it from being scored in parts
  struct RowTables {
    output::SpilledText seeds, applied;
  };
  std::vector<RowTables> tables;                   // by row, of a recording scored in parts
  std::vector<output::SpilledText> opening_lines;  // by row, of openings.csv
};

Score score_of(const scenario::Scenario& setup, Capture capture, const ScoreOptions& options = {});
/// The same as the recording is read.
Score score_of(const scenario::Scenario& setup, CaptureReader& reader,
               const ScoreOptions& options = {});
/// Where the tables of a recording in parts are; by its result, for run::write_run and run::seal.
/// Empty of one that was held.
run::LongTables long_tables(Score& score);
/// Lines on the recording for the terminal.
std::vector<std::string> recording_lines(const Score& score, output::Units units);
/// The same as a section of the report and `recording` of summary.json.
run::ReportExtra recording_extra(Score& score, output::Units units);

}  // namespace sim::score
