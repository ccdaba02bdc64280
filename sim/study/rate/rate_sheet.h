// A rate plan on paper and for machines: one page with the furrow to scale and two charts, CSV and
// JSON.
//
//   charts    field-average rate (blue, solid) and in-band rate (orange, dashed) over band length
//             at the plan's spacing, and over spacing at its band; a mark where the plan stands
//   picture   a stretch of one row, seeds at the theoretical spacing
//   CSV       key, value, unit: SI; zones and refills as keys with their number
//
// Errors   none
// Checked  tests/sim/study/rate/rate_plan_test.cc
#pragma once

#include <string>

#include "sim/study/rate/rate_study.h"
#include "sim/study/run/report.h"

namespace sim::rate {

std::string rate_sheet_html(const RateResult& result, output::Units units);
std::string rate_json(const RateResult& result);
std::string rate_csv(const RateResult& result);

}  // namespace sim::rate
