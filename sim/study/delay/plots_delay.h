// The picture of a delay table's sheet.
//
// Checked  tests/sim/study/delay/delay_tables_test.cc
#pragma once

#include <string>

#include "sim/output/shown_units.h"
#include "sim/study/delay/delay.h"

namespace sim::delay {

/// Residual with its interval, and two sd with trims, over row speed; dashed lines: the tolerance.
std::string residual_svg(const DelayStudy& study, output::Units units);

}  // namespace sim::delay
