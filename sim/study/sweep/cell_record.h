// One finished cell of a sweep as a text for the ledger (sim/output/ledger.h), from which a sweep
// that was killed continues and ends with the same bytes.
//
//   Figures are stored as their bytes in memory, in hexadecimal: nothing is rounded and no figure
//   can be forgotten. A build whose figures have another layout has another program hash, and its
//   ledger is refused. The key is a hash of everything on which the cell depends: its scenario,
//   controller and program, its passes and their stop rule.
//
// Errors   reading: nothing if a text is damaged, or of other inputs
// Checked  tests/sim/study/sweep/cell_record_test.cc
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/study/sweep/sweep.h"
#include "sim/study/sweep/sweep_cells.h"

namespace sim::sweep {

/// 16 hexadecimal digits: the hash of everything on which a cell's result depends.
std::string cell_inputs(const Study& study, const CellPlan& plan);
std::string cell_json(const std::string& inputs, const CellPlan& plan, const FinishedCell& done);
std::optional<FinishedCell> cell_from(const std::string& text, const std::string& inputs);
/// The values of the cell in the order of the axes, for messages; empty if the text is damaged.
std::vector<std::string> cell_values_of(const std::string& text);

}  // namespace sim::sweep
