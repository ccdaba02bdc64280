// The values of a sweep's axes as numbers in SI: a study writes them as people do ("16 km/h"),
// tables are in SI.
//
// A value that is not a quantity (a name, a choice) stays as written.
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <string>

#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

std::string axis_column(const SweepAxis& axis);    // "travel.speed" -> "travel.speed_mps"
std::string axis_value(const std::string& value);  // "16 km/h" -> "4.444444444444445"
/// The same as a number; not-a-number if the value is a word.
double axis_value_si(const std::string& value);
/// The break-even of a cell: its summary's, otherwise the cell's own.
double break_even_m(const SweepCell& cell);

}  // namespace sim::sweep
