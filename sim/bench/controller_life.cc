#include "sim/bench/controller_life.h"

#include <algorithm>
#include <cstdint>
#include <limits>

namespace sim::bench {
namespace {

constexpr shared::Instant kNoInstant{std::numeric_limits<std::int64_t>::max()};
constexpr int kCausePower = 0;  // of kResetCauses
constexpr int kCauseWatchdog = 1;
constexpr int kMemoryKept = 0;  // of kRetained
constexpr int kMemoryLost = 1;

Retained memory_of(int retained) {
  constexpr Retained kLeft[] = {Retained::kKept, Retained::kNone, Retained::kDamaged};
  return kLeft[retained];
}

}  // namespace

bool hides_kicks(const scenario::Scenario& scenario) {
  return std::any_of(scenario.faults.begin(), scenario.faults.end(),
                     [](const scenario::FaultEntry& fault) {
                       return fault.kind == scenario::MissedKick::kName ||
                              fault.kind == scenario::MissedMachineKick::kName;
                     });
}

ControllerLife::ControllerLife(const scenario::Scenario& scenario, int row)
    : scenario_(scenario),
      row_(row),
      watchdog_(shared::duration_of(scenario.controller.watchdog_s)),
      hides_kicks_(hides_kicks(scenario)),
      restarts_(scenario::restarts_of(scenario, row)) {
  find_next();
}

void ControllerLife::find_next() {
  if (off_) {
    next_ = shared::instant_of(now_off_.at_s + now_off_.off_s);
    return;
  }
  next_ = kNoInstant;
  if (next_restart_ < restarts_.size()) next_ = shared::instant_of(restarts_[next_restart_].at_s);
  if (watched_ && watchdog_.ns > 0) next_ = std::min(next_, seen_kick_ + watchdog_);
  next_ = std::min(next_, cut_at_);
}

/// Why it goes off at next(), and for how long.
scenario::Restart ControllerLife::due_now() {
  if (next_ == cut_at_) return {next_.seconds(), cut_off_.seconds(), kCausePower, kMemoryLost};
  const bool asked = next_restart_ < restarts_.size() &&
                     next_ == shared::instant_of(restarts_[next_restart_].at_s);
  if (asked) return restarts_[next_restart_++];
  return {next_.seconds(), scenario::kStartTime_s, kCauseWatchdog, kMemoryKept};
}

void ControllerLife::act(ControllerPort& port, std::vector<BridgeChange>& changes) {
  if (off_) {
    start_again(port);
  } else {
    now_off_ = due_now();
    off_ = true;
    cut_at_ = kNoCut;
    offs_.push_back({next_.seconds(), std::numeric_limits<double>::infinity()});
    port.stop(next_, changes,
              now_off_.cause == kCausePower || now_off_.cause == scenario::kCauseBrownOut);
  }
  find_next();
}

void ControllerLife::start_again(ControllerPort& port) {
  off_ = false;
  offs_.back().to_s = next_.seconds();
  watched_ = false;
  while (next_restart_ < restarts_.size() &&
         shared::instant_of(restarts_[next_restart_].at_s) <= next_)
    ++next_restart_;
  port.restart(next_, SILLION_RESET_POWER + static_cast<std::uint32_t>(now_off_.cause),
               memory_of(now_off_.retained));
  seen_kick_ = port.last_kick();
}

void ControllerLife::answered(const ControllerPort& port) {
  const shared::Instant cut = port.storage().cut_at();
  if (cut != cut_at_ && cut >= port.at()) {
    cut_at_ = cut;
    cut_off_ = port.storage().cut_off();
    find_next();
  }
  const shared::Instant kick = port.last_kick();
  if (kick == seen_kick_) return;
  if (hides_kicks_ && scenario::kick_hidden(scenario_, row_, kick.seconds())) return;
  seen_kick_ = kick;
  watched_ = true;
  find_next();
}

std::vector<measure::OnInterval> ControllerLife::off_until(double end_s) const {
  std::vector<measure::OnInterval> offs = offs_;
  for (measure::OnInterval& one : offs) one.to_s = std::min(one.to_s, end_s);
  return offs;
}

}  // namespace sim::bench
