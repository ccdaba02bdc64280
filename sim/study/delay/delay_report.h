// What a tuned table leaves: per row speed, at keys and conditions that took no part in the fit.
//
//   trims    of every report key's rows, from a strip at the judged speed: other seeds of the same
//            rows, a tape read to controller.strip_test_reading
//   share    good over sensed seeds; a band of its own within the tolerance, or a seed of a lawful
//            merged stretch that is covered (placement.h), which a trim is not applied to
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

/// What a strip test of every report key's rows told.
struct StripTrims {
  std::vector<RowTrim> first;   // rows of report key 0, with their intervals
  std::vector<double> trims_m;  // key * row.count + row
};

struct DelayReport {
  std::vector<DelaySpeed> speeds;
  LawError left;
  StripTrims strips;
  std::vector<RowMean> row_means;
};

/// Shares of one condition or several, with and without trims.   Shape   trims_m by cluster's row
struct ShareOf {
  std::span<const SeenCondition* const> seen;
  std::span<const double> trims_m;  // by condition order * rows; empty: none
};

/// Condition at the judged speed (or the fastest that the report has) with everything as the
/// scenario states it, rows of report key 0.
DelayCondition judged_condition(const DelayInputs& inputs, const DelayPlan& plan);
/// Trims of one strip's rows: what a tape of that reading error finds.
std::vector<RowTrim> strip_trims(const SeenCondition& strip, double reading_m);
/// Lays the strips at the judged speed of the machine that the table was tuned on.
StripTrims lay_strips(const DelayInputs& inputs, const DelayPlan& plan,
                      const sillion_attachment_table& table, const SeeingOptions& options);
HeldShare held_share(const ShareOf& of, const scenario::Scenario& scenario, int tolerance);
/// One row speed with the passes that judge it; without a pass where the supply cannot give the
/// flow of every one of them.
DelaySpeed judge_speed(const DelayInputs& inputs, const Judging& judging, const JudgedSpeed& at,
                       const sillion_attachment_table& table, const StripTrims& strips,
                       const SeeingOptions& options);
DelayReport report_delay(const DelayInputs& inputs, const DelayPlan& plan,
                         const sillion_attachment_table& table, const SeeingOptions& options);

}  // namespace sim::delay
