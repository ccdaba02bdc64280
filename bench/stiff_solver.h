// The equations of tests/support/lines_equations.h, stepped by a stiff multistep solver: CVODE of
// SUNDIALS, backward differences (BDF) with Newton's method and a banded matrix.
//
//   order of states   cell by cell: pressure, flow and memories of each cell stand together, and
//                     the valve stands between hose and tube; so the matrix has a half-width of
//                     one cell's states
//   Jacobian          difference quotients of the solver, which keeps a matrix while it serves
//   events            located and restarted as for the explicit integrator (lines_driver.h)
//
// SUNDIALS is optional and serves the bench alone. Where cmake did not find it, stiff_solver() is
// empty and run_stiff throws.
// Errors   std::runtime_error: the solver gave up, or there is none
// Source   A. Hindmarsh et al., SUNDIALS, ACM Trans. Math. Softw. 31, 2005
// Checked  the bench compares its bands with those of the dense form
#pragma once

#include <span>
#include <string>

#include "tests/support/method_of_lines.h"

namespace bench {

/// Name and version of the solver that was compiled in; empty: none.
std::string stiff_solver();

struct StiffSetup {
  support::LinesSetup lines;
  int highest_order = 5;  // of the backward differences, 1 to 5
};

struct StiffRun {
  support::LinesRun run;
  int states = 0;
  int half_width = 0;  // of the banded matrix
};

StiffRun run_stiff(const model::RowUnitParams& row, double supply_pressure_pa,
                   double supply_voltage_v, std::span<const support::OnOff> pulses, double end_s,
                   const StiffSetup& setup);

}  // namespace bench
