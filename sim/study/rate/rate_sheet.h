// A rate plan on paper and for programs: one page with the furrow to scale and two charts; CSV and
// JSON.
//
//   charts    field-average rate (blue, solid) and in-band rate (orange, dashed) over band length
//             at the plan's spacing, and over spacing at the plan's band; a dotted line marks the
//             plan
//   picture   a stretch of one row with seeds at the theoretical spacing
//   CSV       key, value, unit in SI; keys of zones and refills contain their number
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
