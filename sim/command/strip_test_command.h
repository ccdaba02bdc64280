// `delay ATTACHMENT --strip-test`: without readings the plan, the sheet and a CSV to fill in; with
// readings what they say.
//
//   plan      strip_sheet.html, strip_readings.csv, strip_plan.json
//   readings  strip_result.html, strip_result.json
//
// Errors   InputError as strip_plan.h, strip_readings_csv.h and strip_fit.h; OutputError
// Checked  tests/sim/study/delay/strip_sheet_test.cc
#pragma once

#include <filesystem>

#include "sim/scenario/scenario.h"
#include "sim/study/run/report.h"

namespace sim::command {

struct StripTestOptions {
  std::filesystem::path readings;  // empty: plan
  std::filesystem::path out;
  output::Units units = output::Units::kMetric;
  bool json = false;
  double scatter_m = 5e-3;         // sd of a band within its row
  double run_sd_m = 0.3e-3;        // sd of what all rows of a run share
  double slowest_mps = 4.0 / 3.6;  // range of the table
  double fastest_mps = 21.0 / 3.6;
};

/// Returns the exit code.
int strip_test(const scenario::Scenario& scenario, const StripTestOptions& options);

}  // namespace sim::command
