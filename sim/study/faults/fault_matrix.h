// A fault matrix: every fault kind at three severities in several scenarios, one pass per cell.
//
//   title                words
//   kinds, severities    lists; without them all of both
//   known                cells that are known to be violated: ["hot_coil/severe/even"]; * in place
//                        of the scenario: in all of them
//   [[scenario]]         name, base, [scenario.set], from (when the faults begin), skips (kinds
//                        that cannot act in it), [[scenario.degraded]]
//
//   held       the scenario's own requirements hold
//   degraded   they do not, but those of [[scenario.degraded]] do: what may be asked of a row with
//              a fault
//   violated   neither, or the controller failed
//
// Each scenario also passes without a fault, and has to hold then. A fault that never took effect
// in a scenario is an error there: `skips` names it, or the scenario begins it at another time.
// Errors   InputError with file, line and key: unknown key, kind, severity or metric, a missing
//          base, a `known` that names no cell, a scenario without requirements
// Checked  tests/sim/study/faults/fault_matrix_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/scenario/fault_severity.h"
#include "sim/scenario/scenario.h"

namespace sim::faults {

struct MatrixScenario {
  std::string name;
  std::filesystem::path base;
  std::vector<std::string> sets;      // KEY=VALUE over the base
  std::size_t own = 0;                // requirements of its own, before those of `degraded`
  std::vector<std::string> degraded;  // KEY=VALUE, a requirement each
  double from_s = 0.0;
  std::vector<std::string> skips;
  std::string place;  // "scenarios/fault_matrix.toml:12"
};

struct FaultMatrix {
  std::string name;
  std::string title;
  std::vector<std::string> kinds;
  std::vector<scenario::Severity> severities;
  std::vector<std::string> known;  // ids of cells
  std::vector<MatrixScenario> scenarios;
};

/// `sets`: over every scenario, such as another controller.
FaultMatrix load_matrix(const std::filesystem::path& file, const std::vector<std::string>& sets);

/// One cell, or a scenario without a fault (no kind).
struct MatrixCell {
  std::string kind;
  scenario::Severity severity = scenario::Severity::kMild;
  std::size_t scenario = 0;

  /// "lost_edges/mild/even"; "even" without a fault
  std::string id(const FaultMatrix& matrix) const;
  /// What `sillion run BASE --set ...` needs for this pass, without the requirements of `degraded`.
  std::vector<std::string> sets(const FaultMatrix& matrix) const;
};
/// The scenarios without a fault, then kind by kind, severity by severity.
std::vector<MatrixCell> cells_of(const FaultMatrix& matrix);

}  // namespace sim::faults
