#include "sim/study/score/current_dip.h"

#include <algorithm>
#include <cmath>
#include <optional>

namespace sim::score {
namespace {

constexpr double kWindow_s = 0.15e-3;
constexpr std::size_t kLeast = 3;
constexpr double kSearched_s = 12e-3;
constexpr double kRise_ratio = 4.0;
constexpr double kLeastBend_ratio = 0.02 / 0.1e-3;  // of the largest current, in 1/s
constexpr double kScatter_ratio = 6.0;
constexpr double kLikeLargest_ratio = 0.5;

struct Straight {
  double at_s = 0.0, at_a = 0.0;  // its middle
  double slope = 0.0;             // tidy: unit is A/s
  double squares_a2 = 0.0;        // left over; tidy: unit is A^2
  double spread_s2 = 0.0;         // tidy: unit is s^2
};

template <typename Samples>
Straight line_through(const Samples& samples, std::size_t from, std::size_t to) {
  const auto n = static_cast<double>(to - from);
  Straight line;
  for (std::size_t k = from; k < to; ++k) {
    line.at_s += samples[k].at_s / n;
    line.at_a += samples[k].current_a / n;
  }
  double both = 0.0;  // tidy: unit is A s
  for (std::size_t k = from; k < to; ++k) {
    const double apart_s = samples[k].at_s - line.at_s;
    line.spread_s2 += apart_s * apart_s;
    both += apart_s * (samples[k].current_a - line.at_a);
  }
  line.slope = line.spread_s2 > 0.0 ? both / line.spread_s2 : 0.0;
  for (std::size_t k = from; k < to; ++k) {
    const double off_a =
        samples[k].current_a - line.at_a - line.slope * (samples[k].at_s - line.at_s);
    line.squares_a2 += off_a * off_a;
  }
  return line;
}

struct Corner {
  double bend = 0.0;  // tidy: unit is A/s
  double at_s = 0.0;
};

/// The corner at a sample, if there is one.
template <typename Samples>
std::optional<Corner> corner_at(const Samples& samples, std::size_t k, std::size_t width,
                                double most_a) {
  const Straight before = line_through(samples, k + 1 - width, k + 1);
  const Straight after = line_through(samples, k, k + width);
  const double bend = after.slope - before.slope;  // tidy: unit is A/s
  if (!(after.slope > 0.0) || kRise_ratio * before.slope > after.slope) return std::nullopt;
  if (bend < kLeastBend_ratio * most_a) return std::nullopt;
  if (width > kLeast) {
    const double variance_a2 = (before.squares_a2 + after.squares_a2) /
                               static_cast<double>(2 * width - 4);  // tidy: unit is A^2
    const double sd = std::sqrt(variance_a2 / before.spread_s2 + variance_a2 / after.spread_s2);
    if (bend < kScatter_ratio * sd) return std::nullopt;
  }
  const double meet_s =
      (before.at_a - after.at_a + after.slope * after.at_s - before.slope * before.at_s) / bend;
  return Corner{bend, std::clamp(meet_s, samples[k - 1].at_s, samples[k + 1].at_s)};
}

}  // namespace

void CurrentDip::begin(double command_s) {
  driven_ = true;
  command_s_ = command_s;
  samples_.clear();
}

void CurrentDip::take(double current_a, double at_s) {
  if (!driven_) {
    last_s_ = at_s;
    return;
  }
  if (at_s > last_s_ && last_s_ > 0.0 && (step_s_ == 0.0 || at_s - last_s_ < step_s_))
    step_s_ = at_s - last_s_;
  last_s_ = at_s;
  if (at_s >= command_s_ && at_s < command_s_ + kSearched_s) samples_.push_back({at_s, current_a});
}

SeenOpening CurrentDip::end(double) {
  driven_ = false;
  return {.command_s = command_s_, .stop_s = stop_s()};
}

double CurrentDip::stop_s() const {
  if (step_s_ <= 0.0 || step_s_ > kCoarsest_s) return statistics::kNone_ratio;
  const std::size_t width =
      std::max(kLeast, static_cast<std::size_t>(std::lround(kWindow_s / step_s_)) + 1);
  if (samples_.size() < 2 * width + 1) return statistics::kNone_ratio;
  double most_a = 0.0;
  for (const Sample& one : samples_) most_a = std::max(most_a, one.current_a);
  std::vector<Corner> corners(samples_.size());
  double largest = 0.0;  // tidy: unit is A/s
  for (std::size_t k = width; k + width <= samples_.size(); ++k) {
    const std::optional<Corner> corner = corner_at(samples_, k, width, most_a);
    if (!corner) continue;
    corners[k] = *corner;
    largest = std::max(largest, corner->bend);
  }
  if (largest <= 0.0) return statistics::kNone_ratio;
  std::size_t best = 0;
  for (std::size_t k = 0; k < corners.size(); ++k) {
    if (best == 0 && corners[k].bend < kLikeLargest_ratio * largest) continue;
    if (best > 0 && corners[k].bend < corners[best].bend) break;
    best = k;
  }
  return corners[best].at_s;
}

}  // namespace sim::score
