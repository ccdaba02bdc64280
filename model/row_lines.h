// The plan of one line of a row, as the solver's settings ask for it.
//
// In       cells >= 1; stations for the fast form (dense: every cell); vapour pressure gauge
// Out      LinePlan       Errors  as make_line_plan
// Valid    where one step already spans more than half of the kernel's memory, friction is
//          quasi-steady: nothing of the memory would be left to see
// Checked  tests/model/row_unit_test.cc, tests/model/bare_tube_test.cc
#pragma once

#include "model/fluid/line.h"

namespace model {

LinePlan<double> plan_line(const Line& line, const Liquid& liquid, const SolverParams& solver,
                           int cells, int stations, double step_s, double vapour_pa);

}  // namespace model
