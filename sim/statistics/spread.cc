#include "sim/statistics/spread.h"

#include <algorithm>
#include <cmath>

#include "shared/check.h"

namespace sim::statistics {

double mean_of(std::span<const double> values) {
  if (values.empty()) return kNone_ratio;
  double sum = 0.0;
  for (double x : values) sum += x;
  return sum / static_cast<double>(values.size());
}

double sd_of(std::span<const double> values) {
  if (values.size() < 2) return kNone_ratio;
  const double middle = mean_of(values);
  double squares = 0.0;
  for (double x : values) squares += (x - middle) * (x - middle);
  return std::sqrt(squares / static_cast<double>(values.size() - 1));
}

double quantile_of(std::span<const double> sorted, double share_ratio) {
  EXPECTS(share_ratio >= 0.0 && share_ratio <= 1.0);
  if (sorted.empty()) return kNone_ratio;
  const double place_ratio = static_cast<double>(sorted.size() - 1) * share_ratio;
  const auto below = static_cast<std::size_t>(place_ratio);
  if (below + 1 >= sorted.size()) return sorted.back();
  const double way_ratio = place_ratio - static_cast<double>(below);
  return sorted[below] + way_ratio * (sorted[below + 1] - sorted[below]);
}

double upper_median_of(std::vector<double> values) {
  if (values.empty()) return kNone_ratio;
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return *middle;
}

double median_of(std::vector<double> values) {
  const bool odd = values.size() % 2 == 1;
  const double upper = upper_median_of(values);
  if (odd || values.empty()) return upper;
  const auto below = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2 - 1);
  std::nth_element(values.begin(), below, values.end());
  return 0.5 * (*below + upper);
}

double root_of_squares(double a, double b, double c) { return std::sqrt(a * a + b * b + c * c); }

Spread spread_of(std::vector<double> values) {
  Spread spread;
  spread.mean_m = mean_of(values);
  spread.sd_m = sd_of(values);
  std::sort(values.begin(), values.end());
  spread.p05_m = quantile_of(values, 0.05);
  spread.p50_m = quantile_of(values, 0.50);
  spread.p95_m = quantile_of(values, 0.95);
  for (double& x : values) x = std::fabs(x);
  std::sort(values.begin(), values.end());
  spread.abs_p95_m = quantile_of(values, 0.95);
  if (!values.empty()) spread.max_abs_m = values.back();
  return spread;
}

}  // namespace sim::statistics
