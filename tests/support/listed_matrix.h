// What a fault matrix says, held against the cells that its file lists as known: printed as
// `sillion faults` prints it.
#pragma once

#include <gtest/gtest.h>

#include <cstdio>
#include <set>
#include <string>

#include "sim/bench/row_team.h"
#include "sim/study/faults/fault_matrix_report.h"
#include "sim/study/faults/fault_matrix_run.h"

namespace support {

/// Fails for every cell that is red, that is listed and holds, or whose fault never acts, and for a
/// kind of fault that no scenario has.
inline void expect_as_listed(const sim::faults::FaultMatrix& matrix) {
  sim::bench::set_passes_side_by_side(true);
  const sim::faults::MatrixResult result = sim::faults::run_matrix(matrix, {});
  sim::bench::set_passes_side_by_side(false);
  std::printf("%s\n", sim::faults::matrix_sentence(result).c_str());
  for (const auto& line : sim::faults::matrix_table(result).lines) {
    std::printf("  %-24s", line[0].c_str());
    for (std::size_t k = 1; k < line.size(); ++k) std::printf("  %-6s", line[k].c_str());
    std::printf("\n");
  }
  for (const sim::faults::JudgedCell* one : result.red())
    ADD_FAILURE() << one->cell.id(matrix) << ": " << one->words;
  for (const sim::faults::JudgedCell* one : result.mended())
    ADD_FAILURE() << one->cell.id(matrix) << " is no longer violated";
  for (const sim::faults::JudgedCell* one : result.never_acted())
    ADD_FAILURE() << one->cell.id(matrix) << " never acted";
  std::set<std::string> tested;
  for (const sim::faults::JudgedCell& one : result.cells) tested.insert(one.cell.kind);
  EXPECT_EQ(tested.size(), matrix.kinds.size() + 1);  // and the scenarios without a fault
}

}  // namespace support
