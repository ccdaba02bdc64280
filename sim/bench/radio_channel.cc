#include "sim/bench/radio_channel.h"

#include <algorithm>

#include "model/reproducible_math.h"

namespace sim::bench {

RadioChannel::RadioChannel(const scenario::RadioSection& radio, const RandomStream& stream, int way)
    : radio_(radio), stream_(stream), way_(static_cast<std::uint64_t>(way)) {}

void RadioChannel::set_off(const SentFrame& sent, Purpose latency, std::uint64_t draw) {
  double took_s = radio_.latency_s;
  if (radio_.scatter_s > 0.0)
    took_s -= radio_.scatter_s * model::log1p_of(-stream_.uniform_ratio(latency, draw));
  const UnderWay one{sent, sent.left + shared::Duration{shared::nanoseconds_of(took_s)}};
  const auto behind =
      std::upper_bound(under_way_.begin(), under_way_.end(), one,
                       [](const UnderWay& a, const UnderWay& b) { return a.due < b.due; });
  under_way_.insert(behind, one);
}

void RadioChannel::take(const SentFrame& sent) {
  const std::uint64_t draw = 2 * frames_++ + way_;
  const double turns_ratio = bad_ ? radio_.recovers_ratio : radio_.worsens_ratio;
  if (stream_.uniform_ratio(Purpose::kRadioState, draw) < turns_ratio) bad_ = !bad_;
  const double lost_ratio = bad_ ? radio_.lost_bad_ratio : radio_.lost_good_ratio;
  if (stream_.uniform_ratio(Purpose::kRadioLost, draw) < lost_ratio) {
    ++counts_.lost;
    return;
  }
  set_off(sent, Purpose::kRadioLatency, draw);
  if (stream_.uniform_ratio(Purpose::kRadioRepeated, draw) < radio_.repeated_ratio) {
    ++counts_.repeated;
    set_off(sent, Purpose::kRadioRepeatedLatency, draw);
  }
}

std::vector<sillion_frame> RadioChannel::carry(const std::vector<SentFrame>& sent,
                                               shared::Instant at) {
  for (const SentFrame& one : sent) take(one);
  std::vector<sillion_frame> arrive;
  auto one = under_way_.begin();
  for (; one != under_way_.end() && one->due <= at; ++one) {
    counts_.delays.add(at - one->sent.given);
    arrive.push_back(one->sent.frame);
  }
  under_way_.erase(under_way_.begin(), one);
  return arrive;
}

}  // namespace sim::bench
