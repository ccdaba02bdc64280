#include "sim/statistics/intervals.h"

#include <array>
#include <cmath>

#include "sim/statistics/none.h"

namespace sim::statistics {
namespace {

constexpr std::array<double, 30> kStudent_ratio = {
    12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262, 2.228,
    2.201,  2.179, 2.160, 2.145, 2.131, 2.120, 2.110, 2.101, 2.093, 2.086,
    2.080,  2.074, 2.069, 2.064, 2.060, 2.056, 2.052, 2.048, 2.045, 2.042};

// Between the table's rows the next smaller number of degrees of freedom applies, which makes the
// interval wider.
double student_ratio(std::size_t freedom) {
  if (freedom <= kStudent_ratio.size()) return kStudent_ratio[freedom - 1];
  if (freedom < 40) return 2.042;
  if (freedom < 60) return 2.021;
  if (freedom < 120) return 2.000;
  return 1.980;
}

}  // namespace

Interval interval95(std::span<const double> by_cluster_si) {
  std::size_t count = 0;
  double sum_si = 0.0;
  for (const double value_si : by_cluster_si)
    if (std::isfinite(value_si)) sum_si += value_si, ++count;
  if (count < 2) return {kNone_ratio, kNone_ratio};
  const double mean_si = sum_si / static_cast<double>(count);
  double squares_si = 0.0;
  for (const double value_si : by_cluster_si)
    if (std::isfinite(value_si)) squares_si += (value_si - mean_si) * (value_si - mean_si);
  const double n_ratio = static_cast<double>(count);
  const double half_si =
      student_ratio(count - 1) * std::sqrt(squares_si / (n_ratio - 1.0) / n_ratio);
  return {mean_si - half_si, mean_si + half_si};
}

}  // namespace sim::statistics
