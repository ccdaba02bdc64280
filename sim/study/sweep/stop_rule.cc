#include "sim/study/sweep/stop_rule.h"

#include <algorithm>
#include <cmath>

#include "shared/check.h"
#include "sim/statistics/normal_point.h"
#include "sim/statistics/quantiles.h"

namespace sim::sweep {
namespace {

constexpr double kMiss_ratio = 0.05;
constexpr int kMostNeeded = 1'000'000;
constexpr long long kMostFreedom = 1000;  // beyond it Student's t falls by less than 0.2 %

// Sums of n observations: enough to predict the interval for another number of them.
struct Seen {
  double mean_si = 0.0;
  double sd_si = 0.0;
  double trials_ratio = 0.0;  // seeds per observation; 0: not a share of seeds
  long long count = 0;
};

Seen sums_of(std::span<const Observation> seen) {
  Seen sums{.count = static_cast<long long>(seen.size())};
  bool shares = !seen.empty();
  for (const Observation& one : seen) {
    sums.mean_si += one.value_si / static_cast<double>(seen.size());
    sums.trials_ratio += static_cast<double>(one.trials) / static_cast<double>(seen.size());
    shares = shares && one.trials > 0;
  }
  if (!shares) sums.trials_ratio = 0.0;
  double squares_si = 0.0;  // tidy: unit is the metric's, squared
  for (const Observation& one : seen)
    squares_si += (one.value_si - sums.mean_si) * (one.value_si - sums.mean_si);
  if (seen.size() > 1) sums.sd_si = std::sqrt(squares_si / static_cast<double>(seen.size() - 1));
  return sums;
}

MeanInterval interval_of(const Seen& seen, double miss_ratio) {
  const double n_ratio = static_cast<double>(seen.count);
  const auto freedom = static_cast<int>(std::min(seen.count - 1, kMostFreedom));
  const double half_si = statistics::student_quantile_ratio(1.0 - 0.5 * miss_ratio, freedom) *
                         seen.sd_si / std::sqrt(n_ratio);
  MeanInterval interval{seen.mean_si, seen.mean_si - half_si, seen.mean_si + half_si, half_si};
  if (seen.trials_ratio > 0.0) {
    const double p_ratio = std::clamp(seen.mean_si, 0.0, 1.0);
    const double z_ratio = statistics::normal_point_ratio(1.0 - 0.5 * miss_ratio);
    const double z2_ratio = z_ratio * z_ratio;
    const double all_ratio = n_ratio * seen.trials_ratio;
    const double middle_ratio = p_ratio + z2_ratio / (2.0 * all_ratio);
    const double root_ratio = z_ratio * std::sqrt(p_ratio * (1.0 - p_ratio) / all_ratio +
                                                  z2_ratio / (4.0 * all_ratio * all_ratio));
    const double whole_ratio = 1.0 + z2_ratio / all_ratio;
    interval.low_si = std::min(interval.low_si, (middle_ratio - root_ratio) / whole_ratio);
    interval.high_si = std::max(interval.high_si, (middle_ratio + root_ratio) / whole_ratio);
    interval.low_si = std::max(interval.low_si, 0.0);
    interval.high_si = std::min(interval.high_si, 1.0);
  }
  interval.half_width_si =
      std::max(interval.high_si - seen.mean_si, seen.mean_si - interval.low_si);
  return interval;
}

bool all_known(std::span<const Observation> seen) {
  return std::all_of(seen.begin(), seen.end(),
                     [](const Observation& one) { return std::isfinite(one.value_si); });
}

}  // namespace

int looks_of(const StopPlan& plan) {
  EXPECTS(plan.batch >= 1 && plan.most >= 0);
  if (plan.most == 0) return 1;
  const int batches = (plan.most + plan.batch - 1) / plan.batch;
  return std::max(1, plan.batch == 1 ? batches - 1 : batches);  // one observation allows no look
}

double look_miss_ratio(const StopPlan& plan) {
  return kMiss_ratio / static_cast<double>(looks_of(plan));
}

MeanInterval mean_interval(std::span<const Observation> seen, double miss_ratio) {
  if (seen.empty() || !all_known(seen)) return {};
  const Seen sums = sums_of(seen);
  if (sums.count < 2) return {.mean_si = sums.mean_si};
  return interval_of(sums, miss_ratio);
}

StopState stop_state(std::span<const Observation> seen, const StopPlan& plan, bool last) {
  EXPECTS(plan.half_width_si > 0.0);
  const MeanInterval interval = mean_interval(seen, look_miss_ratio(plan));
  // A comparison with not-a-number is false.
  if (interval.half_width_si <= plan.half_width_si) return StopState::kEnough;
  return last ? StopState::kNotEnough : StopState::kGoesOn;
}

int needed_of(std::span<const Observation> seen, const StopPlan& plan) {
  if (seen.size() < 2 || !all_known(seen)) return 0;
  const double miss_ratio = look_miss_ratio(plan);
  const auto enough = [&](int count) {
    Seen more = sums_of(seen);
    more.count = count;
    return interval_of(more, miss_ratio).half_width_si <= plan.half_width_si;
  };
  int high = 2;
  while (high < kMostNeeded && !enough(high)) high = std::min(2 * high, kMostNeeded);
  int low = high / 2;  // not enough, or below two
  while (high - low > 1) {
    const int middle = low + (high - low) / 2;
    (middle >= 2 && enough(middle) ? high : low) = middle;
  }
  return high;
}

}  // namespace sim::sweep
