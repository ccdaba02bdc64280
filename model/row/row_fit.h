// The step that fits a row: both lines must hold a whole number of cells of one wave step each.
//
//   N = round(L/(a dt)),  a_used = L/(N dt),  shift = a_used/a - 1
//   dt in whole nanoseconds, searched from the largest allowed down to 60 % for the first with
//   both shifts below 0.1 %, else the one whose larger shift is smallest
//
// In       lines, step_ns > 0       Out   RowFit
// Errors   std::invalid_argument when no step brings both below 0.5 %
// Source   adjusted wave speed: Wylie, Streeter 1993, ch. 3
// Checked  tests/model/row/row_fit_test.cc
#pragma once

#include "model/row/row_unit.h"

namespace model {

RowFit fit_row(const Line& hose, const Line& tube, std::int64_t largest_step_ns);

}  // namespace model
