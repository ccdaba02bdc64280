// The slots of a pass whose controllers live in this process, worked on by several threads.
//
//   lane     a row, or a team of rows that step side by side (row_team.h); or what lies between
//            the rows: the machine's controller, frames and supply
//   phase    a slot, or an exchange step of it where the rows share a supply
//
//   between, phase p   needs phase p - 1 of every row
//   row, phase p       needs phase p - 1 of what lies between
//   row, in step       needs phase p of it: where rows share a supply, where every call is kept, or
//                      where a fault must end all rows at one instant
//
//   Frames and set point of a slot act from the next one on, so a row may be a slot ahead of the
//   others, and the machine's controller runs beside them. A thread that is free takes the lane
//   that is furthest behind, of those that it ran before if one can go on: then a row stays in
//   the cache of one processor.
//
// Errors   the first fault by phase; of one phase that of the machine's controller, else of the
//          first row. Every row has by then run that phase to its end
// Checked  tests/sim/bench/slot_crew_test.cc, tests/golden/threads_test.cc
#pragma once

#include <atomic>
#include <cstdint>
#include <deque>
#include <exception>
#include <vector>

#include "sim/bench/machine_bench.h"
#include "sim/bench/pass.h"
#include "sim/bench/row_bench.h"
#include "sim/bench/row_team.h"

namespace sim::bench {

class SlotCrew {
 public:
  /// All of these outlive the crew. `slot`: the length of one.
  SlotCrew(const scenario::Scenario& scenario, MachineBench& machine, RowBenches& rows,
           std::deque<RowTeam>& teams, const PassOptions& options, shared::Duration slot);

  /// Runs all slots before slot number `slot`; stays short of it when the caller asks to stop.
  void run_to(std::int64_t slot);
  /// Slots that all rows have run to their end.
  std::int64_t slots_done() const;

 private:
  /// Lanes lie on cache lines of their own.
  struct alignas(64) Lane {
    std::atomic<std::int64_t> done{0};  // phases
    std::atomic<bool> taken{false};     // a thread runs it; stays so once it has failed
    std::atomic<int> thread{-1};        // that ran it last
    std::exception_ptr failed;
  };
  struct Phase {
    std::int64_t slot = 0;
    int exchange = 0;  // step of the slot
    shared::Instant from{}, to{};
    double lasts_s() const { return (to - from).seconds(); }
  };
  /// What lanes hand over is kept for a few phases: none is more than one phase ahead of another.
  static constexpr std::size_t kKept = 4;
  static std::size_t place(std::int64_t phase) { return static_cast<std::size_t>(phase) % kKept; }

  Phase phase_of(std::int64_t phase) const;
  bool ready(std::size_t lane, std::int64_t phase) const;
  std::size_t take(int thread, bool any);
  void work();
  void run(std::size_t lane);
  void begin_row(std::size_t row, const Phase& now);
  void run_team(RowTeam& team, std::int64_t phase);
  void run_between(std::int64_t phase);
  void end_slot(std::int64_t slot);
  void settle(std::int64_t phase);
  void tell(std::size_t lane, std::int64_t phase, bool begins) const;
  void rethrow_first() const;

  const scenario::Scenario& scenario_;
  MachineBench& machine_;
  RowBenches& rows_;
  std::deque<RowTeam>& teams_;
  const PassOptions& options_;
  shared::Duration slot_;
  int exchanges_;  // in a slot
  bool in_step_;
  std::size_t between_;  // its lane, behind the teams
  Failures failed_;      // by row
  std::deque<Lane> lanes_;
  std::atomic<std::int64_t> limit_{0};                  // phases from here on are not begun
  std::atomic<int> running_{0};                         // threads that run a lane or look for one
  std::atomic<int> behind_{0};                          // lanes that have not come to the limit
  alignas(64) std::atomic<int> rows_over_[kKept] = {};  // rows that have run a phase
  // by phase, or by slot
  SharedSupply supply_[kKept];
  std::vector<RowDraw> draws_[kKept];
  std::vector<SentFrame> to_rows_[kKept];
  std::vector<std::vector<SentFrame>> from_rows_[kKept];
  std::int64_t settled_ = 0;  // phases that are booked
};

}  // namespace sim::bench
