#include "sim/bench/bridge_drive.h"

#include <algorithm>

namespace sim::bench {
namespace {

constexpr std::int64_t kFullDuty = 32'768;

/// How long a pattern that began at 0 has been on by `time`.
std::int64_t on_ns(std::int64_t time_ns, std::int64_t period_ns, std::int64_t duty_q15) {
  const std::int64_t on_each_ns = period_ns * duty_q15 / kFullDuty;
  return time_ns / period_ns * on_each_ns + std::min(time_ns % period_ns, on_each_ns);
}

}  // namespace

/// Share of a step in which the bridge drives between two instants of it.
double BridgeDrive::driven_ratio(shared::Instant from, shared::Instant to,
                                 shared::Duration step) const {
  const auto part_ratio = [&](std::int64_t part_ns) {
    return static_cast<double>(part_ns) / static_cast<double>(step.ns);
  };
  if (pwm_period_.ns == 0) return part_ratio((to - from).ns) * (now_.duty_q15 / 32768.0);
  const auto on = [&](shared::Instant at) {
    return on_ns((at - now_since_).ns, pwm_period_.ns, now_.duty_q15);
  };
  return part_ratio(on(to) - on(from));
}

void BridgeDrive::add_share(shared::Instant from, shared::Instant to, shared::Duration step,
                            model::RowStepInput& input) const {
  const double share_ratio = static_cast<double>((to - from).ns) / static_cast<double>(step.ns);
  if (now_.state == SILLION_BRIDGE_DRIVE) input.drive_ratio += driven_ratio(from, to, step);
  if (now_.state == SILLION_BRIDGE_FAST_DECAY) input.fast_decay_ratio += share_ratio;
  if (now_.state == SILLION_BRIDGE_REVERSE) input.reverse_ratio += share_ratio;
}

std::span<const BridgeTurn> BridgeDrive::step(shared::Instant start, shared::Duration step,
                                              model::RowStepInput& input) {
  turns_.clear();
  shared::Instant from = start;
  if (!pending_.empty()) act(start, step, input, from);
  add_share(from, start + step, step, input);
  input.current_limit_a = now_.current_ma * 1e-3;
  return turns_;
}

void BridgeDrive::act(shared::Instant start, shared::Duration step, model::RowStepInput& input,
                      shared::Instant& from) {
  const shared::Instant end = start + step;
  std::stable_sort(pending_.begin(), pending_.end(),
                   [](const BridgeChange& a, const BridgeChange& b) { return a.at < b.at; });
  std::size_t done = 0;
  for (; done < pending_.size() && pending_[done].at < end; ++done) {
    const shared::Instant at = std::max(from, pending_[done].at);
    add_share(from, at, step, input);
    turns_.push_back({at, pending_[done].command, now_.state == SILLION_BRIDGE_DRIVE});
    now_ = pending_[done].command;
    now_since_ = at;
    from = at;
  }
  pending_.erase(pending_.begin(), pending_.begin() + static_cast<std::ptrdiff_t>(done));
}

}  // namespace sim::bench
