#include "sim/bench/slot_crew.h"

#include <oneapi/tbb/parallel_for.h>
#include <oneapi/tbb/partitioner.h>
#include <oneapi/tbb/task_arena.h>

#include <algorithm>
#include <thread>

namespace sim::bench {
namespace {

/// A free thread looks so often for a lane that it ran before until it takes any: 1 to 2 us.
constexpr int kOwnLooks = 32;
/// Then it lets another thread have the processor between its looks.
constexpr int kBusyLooks = 4000;
constexpr std::size_t kNoLane = SIZE_MAX;

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
    : phases_(scenario, machine, rows, options, slot),
      teams_(teams),
      options_(options),
      between_(teams.size()),
      failed_(rows.size()),
      lanes_(teams.size() + 1) {}

void SlotCrew::run_to(std::int64_t slot) {
  limit_ = slot * phases_.in_a_slot();
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
  if (phases_.in_step() && slots_done() == slot) phases_.settle(limit_);
}

std::int64_t SlotCrew::slots_done() const {
  std::int64_t phases = limit_;
  for (const Lane& lane : lanes_) phases = std::min(phases, lane.done.load());
  return phases / phases_.in_a_slot();
}

bool SlotCrew::ready(std::size_t lane, std::int64_t phase) const {
  if (phase >= limit_.load(std::memory_order_relaxed)) return false;
  if (lane != between_)
    return lanes_[between_].done.load(std::memory_order_acquire) >=
           phase + (phases_.in_step() ? 1 : 0);
  return phase == 0 || rows_over_[PassPhases::place(phase - 1)].load(std::memory_order_acquire) ==
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
  if (lane != between_)
    rows_over_[PassPhases::place(phase)].fetch_add(1, std::memory_order_acq_rel);
  if (phase + 1 == limit_.load(std::memory_order_relaxed))
    behind_.fetch_sub(1, std::memory_order_acq_rel);
  own.taken.store(false, std::memory_order_release);
}

/// If several rows of a team fail in a phase, the first is reported.
void SlotCrew::run_team(RowTeam& team, std::int64_t phase) {
  for (std::size_t row = team.from(); row < team.to(); ++row) phases_.begin_row(row, phase);
  while (team.go_on(failed_))
    for (const std::size_t row : team.due()) guarded(failed_, row, [&] { phases_.ask_row(row); });
  for (std::size_t row = team.from(); row < team.to(); ++row)
    if (failed_[row]) std::rethrow_exception(failed_[row]);
  for (std::size_t row = team.from(); row < team.to(); ++row) phases_.end_row(row, phase);
}

void SlotCrew::run_between(std::int64_t phase) {
  if (phase > 0) rows_over_[PassPhases::place(phase - 1)].store(0, std::memory_order_relaxed);
  phases_.run_between(phase);
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
