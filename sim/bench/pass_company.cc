#include "sim/bench/pass_company.h"

#include <algorithm>
#include <memory>
#include <utility>

#include "sim/bench/pass_phases.h"
#include "sim/bench/row_team.h"
#include "sim/bench/running_pass.h"

namespace sim::bench {
namespace {

bool goes_with_others(RunningPass& pass) {
  const PassOptions& options = pass.options();
  return !pass.machine().host->apart() && !rows_in_step(pass.scenario(), options) &&
         !options.until_watched && !options.on_work && !pass.scenario().ideal.still_column;
}

class Company {
 public:
  void add(std::unique_ptr<RunningPass> pass, PassOutcome& outcome) {
    members_.push_back(std::make_unique<Member>(std::move(pass), outcome));
  }
  /// Runs all of them to their ends.
  void run();

 private:
  struct Member {
    Member(std::unique_ptr<RunningPass> running, PassOutcome& result)
        : pass(std::move(running)),
          phases(pass->scenario(), pass->machine(), pass->rows(), pass->options(), kSlot),
          outcome(result) {}
    std::unique_ptr<RunningPass> pass;
    PassPhases phases;
    PassOutcome& outcome;
    std::size_t first_row = 0;  // its number among all rows
    bool leaves = false;
  };
  struct RowPlace {
    Member* member = nullptr;
    std::size_t row = 0;  // of its pass
  };

  template <typename Body>
  void for_each(std::int64_t slot, const Body& body);
  void form_teams();
  void leave();
  void run_slot(std::int64_t slot);
  void run_teams();
  void end_slot(Member& member, std::int64_t slot);

  std::vector<std::unique_ptr<Member>> members_;
  std::vector<RowPlace> places_;  // by number of the row
  Failures failed_;               // by number of the row
  std::deque<RowTeam> teams_;
};

/// `body` for each pass that has not failed; one that fails in it leaves, and is told as run_pass
/// tells it how far it came.
template <typename Body>
void Company::for_each(std::int64_t slot, const Body& body) {
  for (const auto& member : members_) {
    if (member->leaves) continue;
    try {
      try {
        body(*member);
      } catch (const ControllerError&) {
        member->pass->come_to(slot);
        throw;
      }
    } catch (...) {
      member->outcome.failed = std::current_exception();
      member->leaves = true;
    }
  }
}

void Company::form_teams() {
  places_.clear();
  std::vector<TeamRow> rows;
  for (const auto& member : members_) {
    member->first_row = rows.size();
    for (std::size_t row = 0; row < member->pass->rows().size(); ++row) {
      rows.push_back(
          {member->pass->rows()[row].get(), rows.size(), member->pass->scenario().solver.single});
      places_.push_back({member.get(), row});
    }
  }
  failed_.assign(rows.size(), nullptr);
  teams_ = teams_of(rows);
}

/// Takes leave of those that are over or have failed.
void Company::leave() {
  const auto left = std::stable_partition(members_.begin(), members_.end(),
                                          [](const auto& member) { return !member->leaves; });
  if (left == members_.end()) return;
  teams_.clear();  // gives the rows their states back
  members_.erase(left, members_.end());
  form_teams();
}

void Company::run_teams() {
  for (RowTeam& team : teams_)
    while (team.go_on(failed_))
      for (const std::size_t number : team.due())
        guarded(failed_, number, [&] {
          const RowPlace& place = places_[number];
          place.member->phases.ask_row(place.row);
        });
}

/// The end of a slot for one pass; if several of its rows have failed in it, the first is reported.
void Company::end_slot(Member& member, std::int64_t slot) {
  RunningPass& pass = *member.pass;
  const std::size_t rows = pass.rows().size();
  for (std::size_t row = 0; row < rows; ++row)
    if (failed_[member.first_row + row]) std::rethrow_exception(failed_[member.first_row + row]);
  for (std::size_t row = 0; row < rows; ++row) member.phases.end_row(row, slot);
  if ((slot + 1) % kSlotsAtOnce == 0 || slot + 1 == pass.slots()) {
    pass.require_going_on();
    pass.watch_second(slot + 1);
    pass.come_to(slot + 1);
  }
}

void Company::run_slot(std::int64_t slot) {
  for_each(slot, [&](Member& member) {
    if (slot < member.pass->slots()) {
      member.pass->require_going_on();
      member.phases.run_between(slot);
      return;
    }
    member.outcome.record = member.pass->finish();
    member.leaves = true;
  });
  leave();
  for_each(slot, [&](Member& member) {
    for (std::size_t row = 0; row < member.pass->rows().size(); ++row)
      member.phases.begin_row(row, slot);
  });
  leave();
  run_teams();
  for_each(slot, [&](Member& member) { end_slot(member, slot); });
  leave();
}

void Company::run() {
  form_teams();
  for (std::int64_t slot = 0; !members_.empty(); ++slot) run_slot(slot);
}

template <typename Body>
void into(PassOutcome& outcome, const Body& body) {
  try {
    body();
  } catch (...) {
    outcome.failed = std::current_exception();
  }
}

void run_alone(RunningPass& pass, PassOutcome& outcome) {
  into(outcome, [&] {
    pass.run_alone();
    outcome.record = pass.finish();
  });
}

}  // namespace

std::vector<PassOutcome> run_passes(std::span<const PassJob> jobs) {
  std::vector<PassOutcome> outcomes(jobs.size());
  std::vector<std::pair<std::unique_ptr<RunningPass>, PassOutcome*>> together;
  for (std::size_t k = 0; k < jobs.size(); ++k) {
    const PassJob& job = jobs[k];
    std::unique_ptr<RunningPass> pass;
    into(outcomes[k], [&] {
      pass = std::make_unique<RunningPass>(job.scenario, job.table, job.trim_um, job.options);
    });
    if (pass == nullptr) continue;
    if (goes_with_others(*pass))
      together.emplace_back(std::move(pass), &outcomes[k]);
    else
      run_alone(*pass, outcomes[k]);
  }
  if (together.size() == 1) {
    run_alone(*together.front().first, *together.front().second);
    return outcomes;
  }
  Company company;
  for (auto& [pass, outcome] : together) company.add(std::move(pass), *outcome);
  company.run();
  return outcomes;
}

}  // namespace sim::bench
