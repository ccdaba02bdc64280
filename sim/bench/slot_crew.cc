#include "sim/bench/slot_crew.h"

#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/partitioner.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <thread>

#include "sim/bench/work_inputs.h"

namespace sim::bench {
namespace {

/// A free thread looks so often for a lane that it ran before until it takes any: 1 to 2 us.
constexpr int kOwnLooks = 32;
/// Then it lets another thread have the processor between its looks.
constexpr int kBusyLooks = 4000;
constexpr std::size_t kNoLane = SIZE_MAX;

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

void wait_a_little(int looks) {
  if (looks > kBusyLooks) {
    std::this_thread::yield();
    return;
  }
#if defined(__x86_64__)
  for (int k = 0; k < 4; ++k) __builtin_ia32_pause();
#endif
}

}  // namespace

SlotCrew::SlotCrew(const scenario::Scenario& scenario, MachineBench& machine, RowBenches& rows,
                   std::deque<RowTeam>& teams, const PassOptions& options, shared::Duration slot)
    : scenario_(scenario),
      machine_(machine),
      rows_(rows),
      teams_(teams),
      options_(options),
      slot_(slot),
      exchanges_(machine.exchange.steps_a_slot(slot)),
      in_step_(options.keep_fault || options.calls != nullptr || share_supply(scenario.supply)),
      between_(teams.size()),
      failed_(rows.size()),
      lanes_(teams.size() + 1) {
  for (std::size_t k = 0; k < kKept; ++k) {
    draws_[k].resize(rows.size());
    from_rows_[k].resize(rows.size());
  }
  if (!in_step_) supply_[0] = machine_.exchange.plan(machine_.regulator, slot.seconds());
}

SlotCrew::Phase SlotCrew::phase_of(std::int64_t phase) const {
  Phase made{.slot = phase / exchanges_, .exchange = static_cast<int>(phase % exchanges_)};
  const shared::Instant start = shared::Instant{} + slot_ * made.slot;
  made.from = start + shared::Duration{slot_.ns * made.exchange / exchanges_};
  made.to = start + shared::Duration{slot_.ns * (made.exchange + 1) / exchanges_};
  return made;
}

void SlotCrew::run_to(std::int64_t slot) {
  limit_ = slot * exchanges_;
  behind_ = static_cast<int>(lanes_.size());
  const int threads =
      std::min(static_cast<int>(teams_.size()), oneapi::tbb::this_task_arena::max_concurrency());
  // Alone, a thread that waits for the others could begin another pass meanwhile and make this one
  // wait for all of it.
  oneapi::tbb::this_task_arena::isolate([&] {
    oneapi::tbb::parallel_for(
        0, std::max(1, threads), [&](int) { work(); }, oneapi::tbb::simple_partitioner());
  });
  rethrow_first();
  if (in_step_ && slots_done() == slot) settle(limit_);
}

std::int64_t SlotCrew::slots_done() const {
  std::int64_t phases = limit_;
  for (const Lane& lane : lanes_) phases = std::min(phases, lane.done.load());
  return phases / exchanges_;
}

bool SlotCrew::ready(std::size_t lane, std::int64_t phase) const {
  if (phase >= limit_.load(std::memory_order_relaxed)) return false;
  if (lane != between_)
    return lanes_[between_].done.load(std::memory_order_acquire) >= phase + (in_step_ ? 1 : 0);
  return phase == 0 || rows_over_[place(phase - 1)].load(std::memory_order_acquire) ==
                           static_cast<int>(teams_.size());
}

/// The lane that this thread may run now; kNoLane: there is none. `any`: not only those that it ran
/// before.
std::size_t SlotCrew::take(int thread, bool any) {
  std::size_t best = kNoLane;
  std::int64_t best_phase = 0;
  for (std::size_t k = lanes_.size(); k-- > 0;) {  // what lies between comes first
    const Lane& lane = lanes_[k];
    if (lane.taken.load(std::memory_order_relaxed)) continue;
    if (!any && k != between_ && lane.thread.load(std::memory_order_relaxed) != thread) continue;
    const std::int64_t phase = lane.done.load(std::memory_order_acquire);
    if (!ready(k, phase)) continue;
    if (best == kNoLane || (phase < best_phase && best != between_)) {
      best = k;
      best_phase = phase;
    }
  }
  if (best == kNoLane || lanes_[best].taken.exchange(true, std::memory_order_acquire))
    return kNoLane;
  if (!ready(best, lanes_[best].done.load(std::memory_order_relaxed))) {
    lanes_[best].taken.store(false, std::memory_order_release);
    return kNoLane;
  }
  lanes_[best].thread.store(thread, std::memory_order_relaxed);
  return best;
}

/// Lanes become ready only by what other lanes do, so a thread may leave when none ran before it
/// looked and none is ready; whoever runs one looks again.
void SlotCrew::work() {
  const int thread = oneapi::tbb::this_task_arena::current_thread_index();
  const bool alone = oneapi::tbb::this_task_arena::max_concurrency() == 1;
  for (int looks = 0; behind_.load(std::memory_order_acquire) > 0; ++looks) {
    if (options_.stop != nullptr && options_.stop->load(std::memory_order_relaxed)) return;
    const bool any = alone || looks >= kOwnLooks;
    // Counted from before it looks: between a look and a run nobody may take the crew for idle.
    running_.fetch_add(1, std::memory_order_acq_rel);
    const std::size_t lane = take(thread, any);
    if (lane != kNoLane) run(lane);
    const bool still = running_.fetch_sub(1, std::memory_order_acq_rel) == 1;
    if (lane != kNoLane)
      looks = -1;
    else if (any && still)
      return;
    else
      wait_a_little(looks);
  }
}

void SlotCrew::run(std::size_t lane) {
  Lane& own = lanes_[lane];
  const std::int64_t phase = own.done.load(std::memory_order_relaxed);
  tell(lane, phase, true);
  try {
    lane == between_ ? run_between(phase) : run_team(teams_[lane], phase);
  } catch (...) {
    own.failed = std::current_exception();
    std::int64_t limit = limit_.load();
    while (limit > phase + 1 && !limit_.compare_exchange_weak(limit, phase + 1)) {
    }
    return;  // it stays taken
  }
  tell(lane, phase, false);
  own.done.store(phase + 1, std::memory_order_release);
  if (lane != between_) rows_over_[place(phase)].fetch_add(1, std::memory_order_acq_rel);
  if (phase + 1 == limit_.load(std::memory_order_relaxed))
    behind_.fetch_sub(1, std::memory_order_acq_rel);
  own.taken.store(false, std::memory_order_release);
}

void SlotCrew::begin_row(std::size_t row, const Phase& now) {
  RowBench& bench = *rows_[row];
  if (now.exchange == 0) {
    static const std::vector<SentFrame> none;
    const auto& sent = now.slot == 0 ? none : to_rows_[place(now.slot - 1)];
    bench.receive(machine_.links[row].to_row(sent, now.from), now.from);
  }
  const shared::Instant slot_start = shared::Instant{} + slot_ * now.slot;
  bench.begin_slot(now.from, now.to, supply_[place(now.slot * exchanges_ + now.exchange)],
                   row_inputs(scenario_, static_cast<int>(row), slot_start.seconds()));
}

/// If several rows of a team fail in a phase, the first is reported.
void SlotCrew::run_team(RowTeam& team, std::int64_t phase) {
  const Phase now = phase_of(phase);
  for (std::size_t row = team.from(); row < team.to(); ++row) begin_row(row, now);
  while (team.go_on(failed_))
    for (const std::size_t row : team.due())
      guarded(failed_, row, [&] {
        StepCall due = rows_[row]->call();
        machine_.host->step({&due, 1});
        rows_[row]->take(due);
      });
  for (std::size_t row = team.from(); row < team.to(); ++row)
    if (failed_[row]) std::rethrow_exception(failed_[row]);
  for (std::size_t row = team.from(); row < team.to(); ++row) {
    draws_[place(phase)][row] = rows_[row]->take_draw();
    if (now.exchange + 1 == exchanges_)
      from_rows_[place(now.slot)][row] = rows_[row]->take_sent(now.to);
  }
}

/// What happens between two phases of the rows: the draws are booked, frames change hands, the
/// machine's controller runs its slot, and the supply of the next phase is planned.
void SlotCrew::run_between(std::int64_t phase) {
  const Phase now = phase_of(phase);
  if (phase > 0) {
    rows_over_[place(phase - 1)].store(0, std::memory_order_relaxed);
    settle(phase);
  }
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

/// Books what the rows did in the phase before `phase`, once.
void SlotCrew::settle(std::int64_t phase) {
  if (settled_ >= phase) return;
  settled_ = phase;
  const Phase before = phase_of(phase - 1);
  if (in_step_)
    machine_.exchange.book(draws_[place(phase - 1)], before.lasts_s(), machine_.regulator);
  if (before.exchange + 1 == exchanges_) end_slot(before.slot);
}

void SlotCrew::end_slot(std::int64_t slot) {
  const shared::Instant end = shared::Instant{} + slot_ * (slot + 1);
  if (in_step_) to_rows_[place(slot)] = machine_.take_sent(end);
  for (std::size_t row = 0; row < rows_.size(); ++row)
    machine_.hear(row, from_rows_[place(slot)][row], end);
  if (in_step_) machine_.move_regulator(scenario_, slot_.seconds());
}

void SlotCrew::tell(std::size_t lane, std::int64_t phase, bool begins) const {
  if (options_.on_work) options_.on_work({static_cast<int>(lane), phase, begins});
}

void SlotCrew::rethrow_first() const {
  const Lane* first = nullptr;
  for (std::size_t k = 0; k < lanes_.size(); ++k) {
    const Lane& lane = lanes_[(k + between_) % lanes_.size()];  // what lies between comes first
    if (lane.failed && (first == nullptr || lane.done < first->done)) first = &lane;
  }
  if (first != nullptr) std::rethrow_exception(first->failed);
}

}  // namespace sim::bench
