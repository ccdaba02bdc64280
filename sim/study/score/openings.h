// Openings that a coil's recorded current shows, beside those of the same pulses in the model.
//
//   seen      share of the pulses with a recorded current whose current shows a dip
//   opening   from the command to the plunger's stop
//   later     recorded less the model's opening of the same pulse; in mm, what the row goes in that
//             time: what a band would move by if its liquid came so much later
//
// Limits   quantiles are known to half a microsecond, or to half a micrometre
// Checked  tests/sim/study/score/current_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/measure/record.h"
#include "sim/output/shown_units.h"
#include "sim/output/spilled_text.h"
#include "sim/scenario/scenario.h"
#include "sim/statistics/running.h"
#include "sim/study/score/capture.h"

namespace sim::score {

struct OpeningFigures {
  long long pulses = 0;  // with a recorded current
  long long seen = 0;
  long long compared = 0;  // seen, and opened in the model too
  statistics::CountedSpread opening_s{1e-6, 1.0};
  statistics::CountedSpread later_s{1e-6, 1.0};
  statistics::CountedSpread later_m{1e-6, 1.0};
  void take(const OpeningFigures& other);
};

/// The openings of one row, as they come in order of time.
class RowOpenings {
 public:
  RowOpenings(const scenario::Scenario& scenario, int row);
  /// Bench time, in order.
  void expect(const std::vector<SeenOpening>& seen, double later_s);
  /// Compares with the model's pulses that were commanded up to `until_s`; lines for openings.csv
  /// are appended.
  void compare(const std::vector<measure::PulseOpening>& model, double until_s, std::string& lines);
  const OpeningFigures& figures() const { return figures_; }

 private:
  scenario::Scenario scenario_;
  int row_;
  double done_s_ = -1.0;
  std::vector<SeenOpening> waiting_;
  OpeningFigures figures_;
};

std::string openings_header();
/// A line for the terminal; empty where no current was recorded.
std::vector<std::string> opening_lines(const OpeningFigures& figures, double step_s,
                                       output::Units units);
/// A section with figures and plot by row.
std::string opening_section(const std::vector<OpeningFigures>& rows, double step_s,
                            output::Units units);
/// Members of `recording.current` in summary.json.
std::string opening_json(const OpeningFigures& figures, double step_s);

}  // namespace sim::score
