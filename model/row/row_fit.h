// Cells of a row's lines at a step.
//
// Each line has the whole cells and the part of one that its travel time needs
// (model/fluid/line.h), so no wave speed is moved and any step serves that is not longer than the
// travel time.
// In       both lines, the step in ns
// Out      RowFit
// Errors   std::invalid_argument where a line is shorter than one cell
// Checked  tests/model/row/row_fit_test.cc
#pragma once

#include "model/row/row_unit.h"

namespace model {

RowFit fit_row(const Line& hose, const Line& tube, std::int64_t step_ns);
LineCells cells_of(double length_m, double wave_speed_mps, double step_s);

}  // namespace model
