// One row as plain lists of numbers, and back: what lanes load and store (model/row/row_lanes.h).
//
// Errors   EXPECTS lists of the same row        State   none
// Checked  tests/model/row/row_lanes_test.cc
#pragma once

#include "model/row/row_lanes.h"
#include "model/row/row_plan.h"

namespace model {

FlatRow flat(RowPlan& plan);
FlatRow flat(RowState& state);
/// `into` has the sizes of the row that was listed.
void restore(const FlatRow& from, RowState& into);

}  // namespace model
