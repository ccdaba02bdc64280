// What stands behind a row: constants of a run, and everything that changes.
//
// Checked  tests/model/row/row_unit_test.cc
#pragma once

#include "model/row/row_step.h"
#include "model/row/row_unit.h"
#include "model/row_params.h"

namespace model {

struct RowPlan : RowPlanOf<double> {
  Valve valve_params;
  RowFit fit;
  bool reference_valve = false;
  double still_pocket_m3 = 0.0;  // gas at the valve before the first pulse
  double extra_leak_m3pspa = 0.0;
};

struct RowState : RowStateOf<double> {};

}  // namespace model
