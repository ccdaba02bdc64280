#include "sim/bench/bridge_drive.h"

#include <algorithm>

namespace sim::bench {
namespace {

void add_share(const sillion_bridge_command& command, shared::Duration part, shared::Duration step,
               model::RowStepInput& input) {
  const double share_ratio = static_cast<double>(part.ns) / static_cast<double>(step.ns);
  const double duty_ratio = command.duty_q15 / 32768.0;
  if (command.state == SILLION_BRIDGE_DRIVE) input.drive_ratio += share_ratio * duty_ratio;
  if (command.state == SILLION_BRIDGE_FAST_DECAY) input.fast_decay_ratio += share_ratio;
  if (command.state == SILLION_BRIDGE_REVERSE) input.reverse_ratio += share_ratio;
}

}  // namespace

std::span<const BridgeTurn> BridgeDrive::step(shared::Instant start, shared::Duration step,
                                              model::RowStepInput& input) {
  turns_.clear();
  shared::Instant from = start;
  if (!pending_.empty()) act(start, step, input, from);
  add_share(now_, start + step - from, step, input);
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
    add_share(now_, at - from, step, input);
    turns_.push_back({at, pending_[done].command, now_.state == SILLION_BRIDGE_DRIVE});
    now_ = pending_[done].command;
    from = at;
  }
  pending_.erase(pending_.begin(), pending_.begin() + static_cast<std::ptrdiff_t>(done));
}

}  // namespace sim::bench
