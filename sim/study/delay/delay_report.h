// What a tuned table leaves, per row speed, at keys and conditions that took no part in the fit.
//
//   trims    of the rows of every report key, from a strip at the judged speed: other seeds of the
//            same rows, with a tape read to controller.strip_test_reading
//   share    good seeds over sensed seeds. Good is a seed with its own band within the tolerance,
//            or a seed in a lawful merged stretch that covers it (placement.h); no trim is applied
//            to the latter
//   flat     searched in steps of 20 us
//
// Checked  tests/sim/study/delay/delay_test.cc
#pragma once

#include <span>
#include <vector>

#include "sim/study/delay/delay.h"

namespace sim::delay {

/// Mean error of a row over all report speeds, before its trim.
struct RowMean {
  double mean_m = 0.0;
  double trim_m = 0.0;
};

/// The result of strip tests with the rows of every report key.
struct StripTrims {
  std::vector<RowTrim> first;   // rows of report key 0, with intervals
  std::vector<double> trims_m;  // index: key * row.count + row
};

struct DelayReport {
  std::vector<DelaySpeed> speeds;
  LawError left;
  StripTrims strips;
  std::vector<RowMean> row_means;
};

/// Input of a share of one or several conditions, with or without trims.
struct ShareOf {
  std::span<const SeenCondition* const> seen;
  std::span<const double> trims_m;  // index: condition * rows + row; empty: no trims
};

/// The condition at the judged speed (or the report's fastest, if that is slower) with all else as
/// the scenario states it, and the rows of report key 0.
DelayCondition judged_condition(const DelayInputs& inputs, const DelayPlan& plan);
/// Trims of one strip's rows, as a tape with that reading error finds them.
std::vector<RowTrim> strip_trims(const SeenCondition& strip, double reading_m);
/// Lays the strips at the judged speed of the machine that `inputs` describes.
StripTrims lay_strips(const DelayInputs& inputs, const DelayPlan& plan,
                      const sillion_attachment_table& table, const SeeingOptions& options);
HeldShare held_share(const ShareOf& of, const scenario::Scenario& scenario, int tolerance);
/// Judges one row speed by its passes; runs none where the supply cannot give the flow of each
/// pass.
DelaySpeed judge_speed(const DelayInputs& inputs, const Judging& judging, const JudgedSpeed& at,
                       const sillion_attachment_table& table, const StripTrims& strips,
                       const SeeingOptions& options);
DelayReport report_delay(const DelayInputs& inputs, const DelayPlan& plan,
                         const sillion_attachment_table& table, const SeeingOptions& options);

}  // namespace sim::delay
