#include "sim/bench/radio_sender.h"

#include <utility>

#include "sim/scenario/network_keys.h"

namespace sim::bench {

RadioSender::RadioSender(const scenario::RadioSection& radio, int place)
    : radio_(radio),
      period_{shared::nanoseconds_of(radio.period_s)},
      slot_{shared::nanoseconds_of(radio.slot_s)},
      offset_(slot_ * place) {}

shared::Instant RadioSender::slot_start() const {
  return shared::Instant{} + period_ * next_slot_ + offset_;
}

void RadioSender::enter(const SentFrame& frame) {
  if (queue_.size() < static_cast<std::size_t>(radio_.queue_frames)) {
    queue_.push_back(frame);
    return;
  }
  ++failed_;
  ++done_.failed;
}

void RadioSender::fill_slot(shared::Instant start) {
  shared::Instant ends = start;
  while (!queue_.empty()) {
    const shared::Duration air{scenario::air_time_ns(radio_, queue_.front().frame.length)};
    if (start + slot_ < ends + air) break;
    ends = ends + air;
    on_air_ = on_air_ + air;
    flying_.push_back(queue_.front());
    flying_.back().left = ends;
    queue_.pop_front();
  }
}

std::vector<SentFrame> RadioSender::run(const std::vector<SentFrame>& given,
                                        shared::Instant until) {
  given_.insert(given_.end(), given.begin(), given.end());
  // At one instant a frame enters the queue before the slot begins.
  while (true) {
    const shared::Instant start = slot_start();
    if (!given_.empty() && given_.front().given <= until && given_.front().given <= start) {
      enter(given_.front());
      given_.pop_front();
    } else if (start < until) {
      fill_slot(start);
      ++next_slot_;
    } else {
      break;
    }
  }
  std::vector<SentFrame> ended;
  while (!flying_.empty() && flying_.front().left <= until) {
    ended.push_back(flying_.front());
    flying_.pop_front();
  }
  sent_ += static_cast<std::int64_t>(ended.size());
  done_.ok += static_cast<std::uint32_t>(ended.size());
  return ended;
}

Transmitted RadioSender::take_done() { return std::exchange(done_, {}); }

}  // namespace sim::bench
