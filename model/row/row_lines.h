// The plan of one line of a row, as the solver's settings ask for it.
//
// In       cells >= 1; stations for the fast form (dense: every cell); vapour pressure gauge
// Out      LinePlan       Errors  as make_line_plan
// Valid    where one step already spans more than half of the kernel's memory, friction is
//          quasi-steady: hardly any of the memory would be left to see
// Checked  tests/model/row/row_unit_test.cc, tests/model/row/bare_tube_test.cc
#pragma once

#include "model/fluid/line.h"
#include "model/row/row_unit.h"

namespace model {

/// Where a line lies and what sits in it.
struct LinePlace {
  LineCells cells;
  LineCells layout;  // whose stations it takes; no cells: its own
  int stations = 0;
  double inlet_height_m = 0.0;   // above the datum of its waves
  double middle_gas_pam3 = 0.0;  // p V of a gas pocket in its middle
};

LinePlan<double> plan_line(const Line& line, const Liquid& liquid, const SolverParams& solver,
                           const LinePlace& place, double step_s, double vapour_pa);

}  // namespace model
