// A judged fault matrix in words: one sentence, a table with a line for each kind, the red cells,
// and the files of a result.
//
//   table      a column for each scenario; in it a sign for each severity, mild first:
//              = held   ~ degraded   ! violated   x known to be violated   . not in this scenario
//   cells.csv  kind, severity, scenario, state, known, words
//
// Errors   OutputError with path and reason
// Checked  tests/sim/study/faults/fault_matrix_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/output/html.h"
#include "sim/study/faults/fault_matrix_run.h"

namespace sim::faults {

/// Figure first: "3 of 738 cells are violated and not known to be; 96 are known, ..."
std::string matrix_sentence(const MatrixResult& result);
output::Table matrix_table(const MatrixResult& result);
/// A line for each cell that is red, no longer violated or never acted, with the command that shows
/// it where there is one.
std::vector<std::string> matrix_findings(const MatrixResult& result);
std::string matrix_json(const MatrixResult& result);
void write_matrix(const MatrixResult& result, const std::filesystem::path& out);

}  // namespace sim::faults
