// One finished cell of a sweep as a separate file, written whole, so that a sweep that was killed
// continues from the finished cells and ends with the same bytes.
//
//   cells/0123456789abcdef.json, named by the hash of everything on which the cell depends: its
//   scenario, controller and program, its passes and their stop rule. Figures are stored as their
//   bytes in memory, in hexadecimal: nothing is rounded and no figure can be forgotten. A build
//   whose figures have another layout has another program hash, and finds nothing.
//
// Errors   reading: nothing if a file is missing, damaged, or of other inputs;
//          writing: OutputError
// Checked  tests/sim/study/sweep/cell_file_test.cc
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "sim/study/sweep/sweep.h"
#include "sim/study/sweep/sweep_cells.h"

namespace sim::sweep {

/// 16 hexadecimal digits: the hash of everything on which a cell's result depends.
std::string cell_inputs(const Study& study, const CellPlan& plan);
std::string cell_json(const std::string& inputs, const CellPlan& plan, const FinishedCell& done);
std::optional<FinishedCell> cell_from(const std::string& text, const std::string& inputs);

std::filesystem::path cell_file(const std::filesystem::path& out, const std::string& inputs);
std::optional<FinishedCell> read_cell(const std::filesystem::path& out, const std::string& inputs);
/// Removes the cells that an earlier sweep has finished; other files in the folder stay.
void clear_cells(const std::filesystem::path& out);

}  // namespace sim::sweep
