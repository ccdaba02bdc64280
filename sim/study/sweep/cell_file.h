// One finished cell of a sweep as a file of its own, written whole, so that a sweep that was killed
// goes on from what is there and ends with the same bytes.
//
//   cells/0123456789abcdef.json, named by the hash of all that the cell hangs on: its scenario,
//   controller and program, its passes and when they stop. Figures are kept as the bytes that they
//   have in memory, in hexadecimal: nothing is rounded and no figure can be forgotten. A build
//   whose figures have another layout has another program hash, and finds nothing.
//
// Errors   reading: nothing where a file is missing, damaged, or of other inputs;
//          writing: OutputError
// Checked  tests/sim/study/sweep/cell_file_test.cc
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "sim/study/sweep/sweep.h"
#include "sim/study/sweep/sweep_cells.h"

namespace sim::sweep {

/// 16 hexadecimal digits of all that a cell's result hangs on.
std::string cell_inputs(const Study& study, const CellPlan& plan);
std::string cell_json(const std::string& inputs, const CellPlan& plan, const FinishedCell& done);
std::optional<FinishedCell> cell_from(const std::string& text, const std::string& inputs);

std::filesystem::path cell_file(const std::filesystem::path& out, const std::string& inputs);
std::optional<FinishedCell> read_cell(const std::filesystem::path& out, const std::string& inputs);
/// Takes away what an earlier sweep has finished; what else lies there stays.
void clear_cells(const std::filesystem::path& out);

}  // namespace sim::sweep
