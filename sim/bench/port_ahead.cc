// A port that stands for the one beside its controller, and what passes between the two.
#include <algorithm>
#include <utility>

#include "shared/check.h"
#include "sim/bench/controller_port.h"

namespace sim::bench {

void ControllerPort::ask(shared::Instant until, AheadQuestion& question) {
  question.lane = lane_;
  question.edges = question.frames = 0;
  while (next_edge_ < edges_.size() && edges_[next_edge_].at < until) {
    const CapturedEdge& edge = edges_[next_edge_];
    // What happens at one instant is handed over together.
    if (question.edges == kAheadEdges) {
      until = edge.at;
      while (question.edges > 0 && question.edge_at[question.edges - 1] == until) {
        --question.edges;
        --next_edge_;
      }
      break;
    }
    question.edge_at[question.edges] = edge.at;
    question.edge_rising[question.edges++] = edge.rising ? 1 : 0;
    ++next_edge_;
  }
  std::size_t sent = 0;
  for (; sent < inbox_.size() && inbox_at_[sent] < until; ++sent) {
    EXPECTS(question.frames < kAheadFrames);
    question.frame_at[question.frames] = inbox_at_[sent];
    question.frame[question.frames++] = inbox_[sent];
  }
  inbox_.erase(inbox_.begin(), inbox_.begin() + static_cast<std::ptrdiff_t>(sent));
  inbox_at_.erase(inbox_at_.begin(), inbox_at_.begin() + static_cast<std::ptrdiff_t>(sent));
  question.until = until;
  question.burst = std::exchange(burst_, {});
  question.sent_ok = std::exchange(sent_ok_, 0);
  question.sent_failed = std::exchange(sent_failed_, 0);
  asked_until_ = until;
}

void ControllerPort::take(const AheadAnswer& answer, std::vector<BridgeChange>& changes) {
  // The worker is believed only as far as it can be checked.
  if (answer.changes > kAheadEvents || answer.frames > kAheadFrames || answer.events > kAheadEvents)
    fault("wrote over what it shares with the bench");
  for (std::uint32_t k = 0; k < answer.changes; ++k) {
    const BridgeChange& change = answer.change[k];
    if (change.command.state > SILLION_BRIDGE_REVERSE)
      fault("wrote over what it shares with the bench");
    changes.push_back(change);
  }
  for (std::uint32_t k = 0; k < answer.frames; ++k) {
    const shared::Instant earliest = sent_.empty() ? shared::Instant{} : sent_.back().given;
    SentFrame& sent = sent_.emplace_back();
    sent.frame = answer.frame[k];
    sent.frame.length = std::min<std::uint8_t>(sent.frame.length, SILLION_FRAME_BYTES);
    sent.given = std::max(earliest, std::min(answer.frame_at[k], asked_until_));
  }
  calls_ = answer.calls;
  events_.insert(events_.end(), answer.event, answer.event + answer.events);
  health_ = answer.health;
  last_kick_ = answer.last_kick;
  if (answer.pressure_given != 0) {
    pressure_given_ = true;
    pressure_pa_ = answer.pressure_pa;
  }
}

void ControllerPort::give(const AheadQuestion& question) {
  for (std::uint32_t k = 0; k < question.edges; ++k)
    edges_.push_back({question.edge_at[k], question.edge_rising[k] != 0});
  for (std::uint32_t k = 0; k < question.frames; ++k)
    receive(question.frame[k], question.frame_at[k]);
  transmitted(question.sent_ok, question.sent_failed);
  hand_over(question.burst);
  find_next_event();
}

void ControllerPort::tell(const std::vector<BridgeChange>& changes, AheadAnswer& answer) {
  if (changes.size() > kAheadEvents) fault("moves its bridge without end");
  if (sent_.size() > kAheadFrames) fault("sends frames without end");
  if (events_.size() > kAheadEvents) fault("reports events without end");
  answer.changes = static_cast<std::uint32_t>(changes.size());
  std::copy(changes.begin(), changes.end(), answer.change);
  answer.frames = static_cast<std::uint32_t>(sent_.size());
  for (std::size_t k = 0; k < sent_.size(); ++k) {
    answer.frame[k] = sent_[k].frame;
    answer.frame_at[k] = sent_[k].given;
  }
  answer.calls = calls_;
  sent_.clear();
  answer.events = static_cast<std::uint32_t>(events_.size());
  std::copy(events_.begin(), events_.end(), answer.event);
  events_.clear();
  answer.health = health_;
  answer.last_kick = last_kick_;
  answer.pressure_given = pressure_given_ ? 1 : 0;
  answer.pressure_pa = pressure_pa_;
  // Edges that have been handed over are dropped.
  edges_.erase(edges_.begin(), edges_.begin() + static_cast<std::ptrdiff_t>(next_edge_));
  next_edge_ = 0;
}

}  // namespace sim::bench
