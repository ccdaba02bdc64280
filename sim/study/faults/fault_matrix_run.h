// Runs the cells of a fault matrix on all threads, each cell on one, and judges them.
//
// Errors   Interrupted when the caller asked to stop; InputError for a scenario that cannot be
//          served. Whatever a controller does ends its cell alone
// Checked  tests/sim/study/faults/fault_matrix_test.cc
#pragma once

#include <atomic>
#include <functional>
#include <string>
#include <vector>

#include "sim/study/faults/fault_matrix.h"

namespace sim::faults {

enum class CellState : std::uint8_t {
  kHeld,
  kDegraded,
  kViolated,
  kControllerFault,  // counts as violated
  kNeverActed,       // the fault changed nothing in the pass
};

struct JudgedCell {
  MatrixCell cell;
  CellState state = CellState::kHeld;
  /// Why it is not held: the requirement that decided, or what the controller or the bench said.
  std::string words;
  bool known = false;  // the file lists it as violated
};

struct MatrixResult {
  FaultMatrix matrix;
  std::vector<JudgedCell> cells;  // in the order of cells_of()

  /// Cells of this state, those without a fault left out.
  std::size_t count(CellState state) const;
  /// Cells that are violated and not known to be, a scenario that does not hold without a fault
  /// among them.
  std::vector<const JudgedCell*> red() const;
  /// Cells that `known` lists and that are not violated.
  std::vector<const JudgedCell*> mended() const;
  std::vector<const JudgedCell*> never_acted() const;
};

struct MatrixOptions {
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

MatrixResult run_matrix(const FaultMatrix& matrix, const MatrixOptions& options);
/// "held", "degraded", "violated", "violated (controller)", "never acted"
std::string_view state_word(CellState state);

}  // namespace sim::faults
