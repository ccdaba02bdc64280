#include "sim/bench/slot_pieces.h"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <exception>

#include "sim/bench/work_inputs.h"

namespace sim::bench {
namespace {

bool any(const Failures& failed) {
  return std::any_of(failed.begin(), failed.end(), [](const auto& one) { return one != nullptr; });
}

/// Controllers in a process of their own are asked in rounds, all that have come to a call
/// together: a change of process costs as much as a dozen calls. The machine's goes along in a
/// slot's first piece; it depends on nothing that the rows do in that slot.
void run_rows_apart(MachineBench& machine, RowBenches& rows, std::deque<RowTeam>& teams,
                    bool with_machine, Failures& failed) {
  std::vector<char> runs(teams.size(), 1);
  bool machine_runs = with_machine;
  std::vector<StepCall> round;
  while (true) {
    oneapi::tbb::parallel_for(std::size_t{0}, teams.size(), [&](std::size_t team) {
      if (runs[team] != 0) runs[team] = teams[team].go_on(failed) ? 1 : 0;
    });
    round.clear();
    guarded(failed, rows.size(), [&] { machine_runs = machine_runs && machine.go_on(); });
    if (machine_runs) round.push_back(machine.call());
    for (std::size_t team = 0; team < teams.size(); ++team)
      if (runs[team] != 0)
        for (const std::size_t row : teams[team].due()) round.push_back(rows[row]->call());
    if (round.empty() || any(failed)) return;
    machine.host->step(round);
    for (const StepCall& one : round) {
      const auto lane = static_cast<std::size_t>(one.lane);
      if (!one.answered && one.fault.empty()) continue;  // behind the one that failed
      guarded(failed, lane,
              [&] { lane < rows.size() ? rows[lane]->take(one) : machine.take(one); });
    }
    if (any(failed)) return;
  }
}

/// Ports that live with their controllers run a slot ahead of the plant, all of them in one
/// question unless a controller goes off or starts in it; then the rows move through the slot.
void run_rows_ahead(MachineBench& machine, RowBenches& rows, std::deque<RowTeam>& teams,
                    shared::Instant start, Failures& failed) {
  AheadHost& ahead = *machine.host->ahead();
  std::vector<int> lanes;
  while (true) {
    lanes.clear();
    if (machine.ask_ahead(ahead, start)) lanes.push_back(machine.lane);
    for (int row = 0; row < machine.lane; ++row)
      if (rows[static_cast<std::size_t>(row)]->ask_ahead(ahead)) lanes.push_back(row);
    if (lanes.empty()) break;
    ahead.run(lanes);
    for (const int lane : lanes) {
      if (lane == machine.lane)
        machine.take_ahead(ahead);
      else
        rows[static_cast<std::size_t>(lane)]->take_ahead(ahead);
    }
  }
  oneapi::tbb::parallel_for(std::size_t{0}, teams.size(),
                            [&](std::size_t team) { teams[team].go_on(failed); });
}

}  // namespace

void run_slot_pieces(const scenario::Scenario& scenario, MachineBench& machine, RowBenches& rows,
                     std::deque<RowTeam>& teams, const std::vector<SentFrame>& to_rows,
                     const Span& slot) {
  const int steps = machine.exchange.steps_a_slot(slot.to - slot.from);
  std::vector<RowDraw> draws(rows.size());
  Failures failed(rows.size() + 1);
  for (int k = 0; k < steps; ++k) {
    const shared::Instant from = slot.from + shared::Duration{(slot.to - slot.from).ns * k / steps};
    const shared::Instant to =
        slot.from + shared::Duration{(slot.to - slot.from).ns * (k + 1) / steps};
    const double step_s = (to - from).seconds();
    const SharedSupply met = machine.exchange.plan(machine.regulator, step_s);
    for (std::size_t row = 0; row < rows.size(); ++row) {
      if (k == 0) rows[row]->receive(machine.links[row].to_row(to_rows, from), from);
      rows[row]->begin_slot(from, to, met,
                            row_inputs(scenario, static_cast<int>(row), slot.from.seconds()));
    }
    if (machine.host->ahead() != nullptr)
      run_rows_ahead(machine, rows, teams, from, failed);
    else
      run_rows_apart(machine, rows, teams, k == 0, failed);
    if (failed.back()) std::rethrow_exception(failed.back());
    for (const std::exception_ptr& error : failed)
      if (error) std::rethrow_exception(error);
    for (std::size_t row = 0; row < rows.size(); ++row) draws[row] = rows[row]->take_draw();
    machine.exchange.book(draws, step_s, machine.regulator);
  }
}

}  // namespace sim::bench
