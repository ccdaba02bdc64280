#include "sim/bench/pass_phases.h"

#include "sim/bench/work_inputs.h"

namespace sim::bench {
namespace {

/// Runs the machine's controller to the end of its slot, asking in this process.
void run_machine(ControllerHost& host, MachineBench& machine) {
  while (machine.go_on()) {
    StepCall due = machine.call();
    host.step({&due, 1});
    machine.take(due);
  }
}

bool share_supply(const scenario::SupplySection& supply) {
  return supply.manifold.pump_m3ps > 0.0 || supply.harness_ohm > 0.0 ||
         supply.row_harness_ohm > 0.0;
}

}  // namespace

bool rows_in_step(const scenario::Scenario& scenario, const PassOptions& options) {
  return options.keep_fault || options.calls != nullptr || share_supply(scenario.supply);
}

PassPhases::PassPhases(const scenario::Scenario& scenario, MachineBench& machine, RowBenches& rows,
                       const PassOptions& options, shared::Duration slot)
    : scenario_(scenario),
      machine_(machine),
      rows_(rows),
      slot_(slot),
      exchanges_(machine.exchange.steps_a_slot(slot)),
      in_step_(rows_in_step(scenario, options)) {
  for (std::size_t k = 0; k < kKept; ++k) {
    draws_[k].resize(rows.size());
    from_rows_[k].resize(rows.size());
  }
  if (!in_step_) supply_[0] = machine_.exchange.plan(machine_.regulator, slot.seconds());
}

PassPhases::Phase PassPhases::phase_of(std::int64_t phase) const {
  Phase made{.slot = phase / exchanges_, .exchange = static_cast<int>(phase % exchanges_)};
  const shared::Instant start = shared::Instant{} + slot_ * made.slot;
  made.from = start + shared::Duration{slot_.ns * made.exchange / exchanges_};
  made.to = start + shared::Duration{slot_.ns * (made.exchange + 1) / exchanges_};
  return made;
}

void PassPhases::begin_row(std::size_t row, std::int64_t phase) {
  const Phase now = phase_of(phase);
  RowBench& bench = *rows_[row];
  if (now.exchange == 0) {
    static const std::vector<SentFrame> none;
    const auto& sent = now.slot == 0 ? none : to_rows_[place(now.slot - 1)];
    bench.receive(machine_.links[row].to_row(sent, now.from), now.from);
  }
  const shared::Instant slot_start = shared::Instant{} + slot_ * now.slot;
  bench.begin_slot(now.from, now.to, supply_[place(phase)],
                   row_inputs(scenario_, static_cast<int>(row), slot_start.seconds()));
}

void PassPhases::ask_row(std::size_t row) {
  StepCall due = rows_[row]->call();
  machine_.host->step({&due, 1});
  rows_[row]->take(due);
}

void PassPhases::end_row(std::size_t row, std::int64_t phase) {
  const Phase now = phase_of(phase);
  draws_[place(phase)][row] = rows_[row]->take_draw();
  if (now.exchange + 1 == exchanges_)
    from_rows_[place(now.slot)][row] = rows_[row]->take_sent(now.to);
}

void PassPhases::run_between(std::int64_t phase) {
  const Phase now = phase_of(phase);
  if (phase > 0) settle(phase);
  if (now.exchange == 0) {
    machine_.begin_slot(scenario_, now.from, now.from + slot_);
    run_machine(*machine_.host, machine_);
  }
  if (in_step_) {
    supply_[place(phase)] = machine_.exchange.plan(machine_.regulator, now.lasts_s());
    return;
  }
  to_rows_[place(now.slot)] = machine_.take_sent(now.from + slot_);
  machine_.move_regulator(scenario_, slot_.seconds());
  supply_[place(phase + 1)] = machine_.exchange.plan(machine_.regulator, slot_.seconds());
}

void PassPhases::settle(std::int64_t phase) {
  if (settled_ >= phase) return;
  settled_ = phase;
  const Phase before = phase_of(phase - 1);
  if (in_step_)
    machine_.exchange.book(draws_[place(phase - 1)], before.lasts_s(), machine_.regulator);
  if (before.exchange + 1 == exchanges_) end_slot(before.slot);
}

void PassPhases::end_slot(std::int64_t slot) {
  const shared::Instant end = shared::Instant{} + slot_ * (slot + 1);
  if (in_step_) to_rows_[place(slot)] = machine_.take_sent(end);
  for (std::size_t row = 0; row < rows_.size(); ++row)
    machine_.hear(row, from_rows_[place(slot)][row], end);
  if (in_step_) machine_.move_regulator(scenario_, slot_.seconds());
}

}  // namespace sim::bench
