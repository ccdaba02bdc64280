// The slots of a pass whose controllers live in this process, worked on by several threads.
//
//   lane     a row, or a team of rows that step side by side (row_team.h); or what lies between
//            the rows: the machine's controller, frames and supply
//   What a lane does in a phase, and which phases of the others it needs, is pass_phases.h.
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
#include "sim/bench/pass_phases.h"
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
  static constexpr std::size_t kKept = PassPhases::kKept;

  bool ready(std::size_t lane, std::int64_t phase) const;
  std::size_t take(int thread, bool any);
  void work();
  void run(std::size_t lane);
  void run_team(RowTeam& team, std::int64_t phase);
  void run_between(std::int64_t phase);
  void tell(std::size_t lane, std::int64_t phase, bool begins) const;
  void rethrow_first() const;

  PassPhases phases_;
  std::deque<RowTeam>& teams_;
  const PassOptions& options_;
  std::size_t between_;  // its lane, behind the teams
  Failures failed_;      // by row
  std::deque<Lane> lanes_;
  std::atomic<std::int64_t> limit_{0};                  // phases from here on are not begun
  std::atomic<int> running_{0};                         // threads that run a lane or look for one
  std::atomic<int> behind_{0};                          // lanes that have not come to the limit
  alignas(64) std::atomic<int> rows_over_[kKept] = {};  // teams that have run a phase
};

}  // namespace sim::bench
