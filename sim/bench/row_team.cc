#include "sim/bench/row_team.h"

#include <oneapi/tbb/task_arena.h>

#include <algorithm>

#include "model/denormals.h"

namespace sim::bench {
namespace {

int& rows_asked() {
  static int asked = 0;
  return asked;
}

bool& many_passes() {
  static bool many = false;
  return many;
}

/// The widest form of these many rows that is asked for, or none.
const model::LaneForm* form_for(std::size_t rows, bool single) {
  const auto most = static_cast<std::size_t>(rows_asked() > 0 ? rows_asked() : 64);
  const model::LaneForm* found = nullptr;
  for (const model::LaneForm& form : model::lane_forms()) {
    const auto width = static_cast<std::size_t>(form.width);
    if (form.single != single || (found != nullptr && width > most)) continue;
    // Up to half of the lanes may stay empty: 3 rows take 290 ns per step in 4 lanes, 490 alone
    // (bench/README.md). In single there is no alone.
    const bool filled = width < 2 * rows;
    if (single ? found == nullptr || filled : width <= most && filled) found = &form;
  }
  return found;
}

/// Rows per team, so that as many threads as there are have one. A thread for each row serves a
/// pass that has all of them better than half as many threads with two rows each.
std::size_t rows_per_team(std::size_t rows) {
  if (rows_asked() > 0) return static_cast<std::size_t>(rows_asked());
  const auto threads =
      static_cast<std::size_t>(std::max(1, oneapi::tbb::this_task_arena::max_concurrency()));
  return many_passes() ? rows : (rows + threads - 1) / threads;
}

bool beside(const TeamRow& a, const TeamRow& b) {
  const model::RowUnit* one = a.bench->unit();
  const model::RowUnit* other = b.bench->unit();
  return one != nullptr && other != nullptr && a.single == b.single &&
         a.bench->step_length() == b.bench->step_length() && model::RowLanes::fit(*one, *other);
}

/// The same rows, those that fit side by side one behind the other.
std::vector<TeamRow> gathered(std::span<const TeamRow> rows) {
  std::vector<TeamRow> left(rows.begin(), rows.end());
  for (auto first = left.begin(); first != left.end();)
    first = std::stable_partition(first + 1, left.end(),
                                  [one = *first](const TeamRow& row) { return beside(one, row); });
  return left;
}

/// Teams of at most `most` neighbours; `in_lanes`: these rows may step in lanes.
std::deque<RowTeam> teams_of_neighbours(std::span<const TeamRow> rows, std::size_t most,
                                        bool in_lanes) {
  std::deque<RowTeam> teams;
  while (!rows.empty()) {
    const TeamRow& first = rows.front();
    std::size_t count = 1;
    while (count < rows.size() && count < most && beside(first, rows[count])) ++count;
    const bool lanes = in_lanes && beside(first, first);
    const model::LaneForm* form =
        lanes && (first.single || count > 1) ? form_for(count, first.single) : nullptr;
    count = form == nullptr ? 1 : std::min(count, static_cast<std::size_t>(form->width));
    teams.emplace_back(rows.first(count), form);
    rows = rows.subspan(count);
  }
  return teams;
}

}  // namespace

RowTeam::RowTeam(std::span<const TeamRow> rows, const model::LaneForm* form)
    : inputs_(rows.size()), outputs_(rows.size()) {
  std::vector<model::RowUnit*> units;
  for (const TeamRow& row : rows) {
    members_.push_back({row.bench, row.number});
    units.push_back(row.bench->unit());
  }
  if (form != nullptr) lanes_ = std::make_unique<model::RowLanes>(*form, units);
}

bool RowTeam::go_on_alone(Failures& failed) {
  const Member& one = members_.front();
  due_.clear();
  if (failed[one.row] != nullptr) return false;
  guarded(failed, one.row, [&] {
    while (!one.bench->slot_over()) {
      if (one.bench->call_due()) {
        due_.push_back(one.row);
        return;
      }
      one.bench->step();
    }
    one.bench->end_slot();
  });
  return !due_.empty();
}

bool RowTeam::go_on(Failures& failed) {
  const model::DenormalGuard guard;
  if (!lanes_) return go_on_alone(failed);
  while (true) {
    const auto running = std::find_if(members_.begin(), members_.end(), [&](const Member& one) {
      return failed[one.row] == nullptr;
    });
    if (running == members_.end()) return false;
    if (running->bench->slot_over()) break;
    if (ask_for_step(failed)) return true;
    step(failed);
  }
  for (Member& one : members_)
    if (failed[one.row] == nullptr) guarded(failed, one.row, [&] { one.bench->end_slot(); });
  return false;
}

/// Readies every row for the next step; true where controllers have to be asked before.
bool RowTeam::ask_for_step(Failures& failed) {
  due_.clear();
  for (std::size_t lane = 0; lane < members_.size(); ++lane) {
    Member& one = members_[lane];
    if (one.ready || failed[one.row] != nullptr) continue;
    guarded(failed, one.row, [&] {
      if (one.bench->call_due()) {
        due_.push_back(one.row);
      } else {
        inputs_[lane] = one.bench->begin_step();
        one.ready = true;
      }
    });
  }
  return !due_.empty();
}

void RowTeam::step(Failures& failed) {
  lanes_->step(inputs_, outputs_);
  for (std::size_t lane = 0; lane < members_.size(); ++lane) {
    Member& one = members_[lane];
    if (one.ready && failed[one.row] == nullptr)
      guarded(failed, one.row, [&] { one.bench->end_step(inputs_[lane], outputs_[lane]); });
    one.ready = false;
  }
}

void set_rows_side_by_side(int rows) { rows_asked() = rows; }
void set_passes_side_by_side(bool many) { many_passes() = many; }

std::vector<int> widths_side_by_side(bool single) {
  std::vector<int> widths;
  if (!single) widths.push_back(1);
  for (const model::LaneForm& form : model::lane_forms())
    if (form.single == single) widths.push_back(form.width);
  return widths;
}

bool fits_lanes(const model::SolverParams& solver) {
  return solver.form == model::LineForm::kFast && !solver.reference_valve;
}

int most_side_by_side(bool single) {
  return rows_asked() > 0 ? rows_asked() : widths_side_by_side(single).back();
}

std::deque<RowTeam> teams_of(const scenario::Scenario& scenario, RowBenches& rows, bool in_rounds) {
  const bool single = scenario.solver.single;
  std::vector<TeamRow> all;
  for (const auto& row : rows) all.push_back({row.get(), all.size(), single});
  // A row that comes to rest at every pulse would leave the step of its neighbours.
  const bool alone = scenario.ideal.still_column || (in_rounds && !single);
  return teams_of_neighbours(all, alone ? 1 : rows_per_team(rows.size()),
                             !scenario.ideal.still_column);
}

std::deque<RowTeam> teams_of(std::span<const TeamRow> rows) {
  const std::size_t most = rows_asked() > 0 ? static_cast<std::size_t>(rows_asked()) : rows.size();
  return teams_of_neighbours(gathered(rows), most, true);
}

}  // namespace sim::bench
