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
// Valid    the recording's own resolution moves each edge by up to half of it: it is stated in mm
//          of placement at the scenario's speed and subtracted from nothing
// Errors   InputError: a recording without edges, or a set-up that cannot be served
// Checked  tests/sim/study/score/score_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "sim/study/run/report.h"
#include "sim/study/run/run.h"
#include "sim/study/score/capture.h"

namespace sim::score {

struct ScoreOptions {
  double start_s = 0.0;         // what comes before is left out
  bool off_decays_fast = true;  // what the driver does when the drive goes off
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

struct Score {
  run::RunResult result;
  double lasts_s = 0.0;
  double later_s = 0.0;  // bench time less the recording's
  double resolution_s = 0.0;
  bool resolution_known = false;
  double half_resolution_m = 0.0;     // of placement, at the fastest speed
  int pulses = 0;                     // of all valves
  std::vector<std::string> unjudged;  // requirements on what a recording of pins does not show
};

Score score_of(const scenario::Scenario& setup, Capture capture, const ScoreOptions& options = {});
/// Lines on the recording for the terminal.
std::vector<std::string> recording_lines(const Score& score, output::Units units);
/// The same as a section of the report and `recording` of summary.json.
run::ReportExtra recording_extra(const Score& score, output::Units units);

}  // namespace sim::score
