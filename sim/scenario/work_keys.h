// The key of [work] that is a list of tables: rows that section control switches off.
//
// Errors   InputError with file, line and key
// Checked  tests/hostile/drives_input_test.cc
#pragma once

#include "sim/scenario/scenario.h"
#include "sim/text/document.h"

namespace sim::scenario {

/// `document` is the whole scenario; row numbers must be below row_count.
std::vector<RowsOff> read_row_off(const text::Node& document, int row_count);

}  // namespace sim::scenario
