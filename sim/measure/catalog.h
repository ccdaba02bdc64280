// What each metric of sim/scenario/metric_names.h reads out of a summary.
//
// Checked  tests/sim/measure/summary_test.cc
#pragma once

#include <string_view>

#include "sim/measure/summary.h"

namespace sim::measure {

using ReadMetric = double (*)(const Summary&);  // tidy: unit is the metric's

/// Null where no metric has that name.
ReadMetric find_reading(std::string_view metric);

}  // namespace sim::measure
