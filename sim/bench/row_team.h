// Rows that go through a slot in step with each other, so that their plants advance side by side in
// the lanes of one register (model/row/row_lanes.h); a row that fits beside none is a team of its
// own. Rows of a team belong to one pass, or to passes that go together (pass_company.h).
//
//   until the slot is over:  every row's controller is asked for what is due before the next step
//                            -> one step of all plants -> every row books its own
//
// The results of a row do not depend on its team: in double precision every bit is that of the row
// alone. In single precision every row that its form allows steps in lanes, also alone.
// State    `rows` outlive the team
// Errors   what a row throws stands in `failed` under its number; its team goes on without it
// Checked  tests/sim/bench/row_team_test.cc
#pragma once

#include <deque>
#include <exception>
#include <memory>
#include <span>
#include <vector>

#include "model/row/row_lanes.h"
#include "sim/bench/row_bench.h"

namespace sim::bench {

/// What failed, by lane: rows by number, then the machine's controller.
using Failures = std::vector<std::exception_ptr>;

template <typename Body>
void guarded(Failures& failed, std::size_t lane, const Body& body) {
  try {
    body();
  } catch (...) {
    failed[lane] = std::current_exception();
  }
}

/// A row that looks for a team; its number is its index in its pass, or among all rows of the
/// passes that go together (pass_company.h).
struct TeamRow {
  RowBench* bench = nullptr;
  std::size_t number = 0;
  bool single = false;  // solver.precision
};

class RowTeam {
 public:
  /// `form` null: one row, without lanes.
  RowTeam(std::span<const TeamRow> rows, const model::LaneForm* form);

  /// Runs on until controllers have to be asked (true: due() lists their rows) or the slot is over
  /// (false).
  bool go_on(Failures& failed);
  const std::vector<std::size_t>& due() const { return due_; }
  /// In a pass alone: the index of its first row, and of the first row behind it.
  std::size_t from() const { return members_.front().row; }
  std::size_t to() const { return members_.back().row + 1; }

 private:
  struct Member {
    RowBench* bench = nullptr;
    std::size_t row = 0;
    bool ready = false;  // it has its input of the step that comes
  };

  bool go_on_alone(Failures& failed);
  bool ask_for_step(Failures& failed);
  void step(Failures& failed);

  std::vector<Member> members_;
  std::vector<model::RowStepInput> inputs_;
  std::vector<model::RowStepOutput> outputs_;
  std::vector<std::size_t> due_;
  std::unique_ptr<model::RowLanes> lanes_;
};

/// How many rows may step side by side from now on; 0: as many as this processor has lanes for and
/// keep all threads busy, 1: none. Changes no result.
void set_rows_side_by_side(int rows);
/// Says that other passes keep the threads busy, so that rows fill lanes before they fill threads.
/// Changes no result.
void set_passes_side_by_side(bool many);
/// The widths that this processor has, in double or in single precision.
std::vector<int> widths_side_by_side(bool single);

/// How many rows can step side by side at most, as asked for or as this processor has lanes for.
int most_side_by_side(bool single);

/// All rows in teams, in their order. `in_rounds`: every call of a controller stops its team, and
/// with it all others; then rows of double precision stay alone.
std::deque<RowTeam> teams_of(const scenario::Scenario& scenario, RowBenches& rows, bool in_rounds);
/// Rows of several passes, of which none has an ideal still column: rows that fit side by side come
/// together from all passes, and fill lanes before they fill threads.
std::deque<RowTeam> teams_of(std::span<const TeamRow> rows);
/// Whether this form can step in lanes: only then single precision takes effect.
bool fits_lanes(const model::SolverParams& solver);

}  // namespace sim::bench
