// What the rows of a pass, and what lies between them, do in each phase and hand to each other.
// Who runs it chooses threads and order (slot_crew.h, pass_company.h) within these bounds:
//
//   phase    a slot, or an exchange step of it where the rows share a supply
//   between  the machine's controller, frames and supply
//
//   between, phase p   needs phase p - 1 of every row
//   row, phase p       needs phase p - 1 of what lies between
//   row, in step       needs phase p of it: where rows share a supply, where every call is kept, or
//                      where a fault must end all rows at one instant
//
//   Only controllers that live in this process are asked; sim/bench/slot_pieces.h asks the others.
// Errors   ControllerError and BenchError of the row, or of the machine's controller, that runs
// Checked  tests/sim/bench/slot_crew_test.cc, tests/sim/bench/pass_company_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "sim/bench/machine_bench.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_bench.h"

namespace sim::bench {

/// Whether no row of such a pass may run ahead of what lies between.
bool rows_in_step(const scenario::Scenario& scenario, const PassOptions& options);

class PassPhases {
 public:
  /// What lanes hand over is kept for a few phases: none is more than one phase ahead of another.
  static constexpr std::size_t kKept = 4;
  static std::size_t place(std::int64_t phase) { return static_cast<std::size_t>(phase) % kKept; }

  /// Scenario, machine and rows outlive it. `slot`: the length of one.
  PassPhases(const scenario::Scenario& scenario, MachineBench& machine, RowBenches& rows,
             const PassOptions& options, shared::Duration slot);

  bool in_step() const { return in_step_; }
  int in_a_slot() const { return exchanges_; }
  /// Gives the row its frames, supply and inputs of the phase, before its team runs it.
  void begin_row(std::size_t row, std::int64_t phase);
  /// Asks the row's controller for the call that is due.
  void ask_row(std::size_t row);
  /// Takes what the row hands over, after its team has run the phase.
  void end_row(std::size_t row, std::int64_t phase);
  /// What happens between two phases of the rows: the draws are booked, frames change hands, the
  /// machine's controller runs its slot, and the supply of the next phase is planned.
  void run_between(std::int64_t phase);
  /// Books what the rows did in the phase before `phase`, once.
  void settle(std::int64_t phase);

 private:
  struct Phase {
    std::int64_t slot = 0;
    int exchange = 0;  // step of the slot
    shared::Instant from{}, to{};
    double lasts_s() const { return (to - from).seconds(); }
  };
  Phase phase_of(std::int64_t phase) const;
  void end_slot(std::int64_t slot);

  const scenario::Scenario& scenario_;
  MachineBench& machine_;
  RowBenches& rows_;
  shared::Duration slot_;
  int exchanges_;  // in a slot
  bool in_step_;
  // by phase, or by slot
  SharedSupply supply_[kKept];
  std::vector<RowDraw> draws_[kKept];
  std::vector<SentFrame> to_rows_[kKept];
  std::vector<std::vector<SentFrame>> from_rows_[kKept];
  std::int64_t settled_ = 0;  // phases that are booked
};

}  // namespace sim::bench
