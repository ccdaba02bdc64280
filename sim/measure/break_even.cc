#include "sim/measure/break_even.h"

#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "sim/measure/record.h"

namespace sim::measure {
namespace {

double normal_below_ratio(double x_ratio) {
  return 0.5 * model::erfc_of(-x_ratio / std::sqrt(2.0));
}

/// Probability that a seed of this error, scattered, is within the tolerance.
double good_ratio(double error_m, double scatter_m, const Goal& goal) {
  if (scatter_m == 0.0) return std::fabs(error_m) <= goal.tolerance_m ? 1.0 : 0.0;
  return normal_below_ratio((goal.tolerance_m - error_m) / scatter_m) -
         normal_below_ratio((-goal.tolerance_m - error_m) / scatter_m);
}

}  // namespace

double scattered_share_ratio(std::span<const double> errors_m, long long sensed, double scatter_m,
                             const Goal& goal) {
  EXPECTS(sensed >= static_cast<long long>(errors_m.size()) && scatter_m >= 0.0);
  double good = 0.0;
  for (double e_m : errors_m) good += good_ratio(e_m, scatter_m, goal);
  return good / static_cast<double>(sensed);
}

namespace {

// The share tends to 0 with growing scatter, so doubling finds an end beyond the crossing, and
// halving then closes in to a hundredth of a micrometre.
template <typename Share>
double found_scatter_m(long long sensed, const Goal& goal, const Share& share_ratio) {
  EXPECTS(goal.tolerance_m > 0.0 && goal.share_ratio > 0.0 && goal.share_ratio < 1.0);
  if (sensed == 0) return statistics::kNone_ratio;
  const auto holds = [&](double scatter_m) { return share_ratio(scatter_m) >= goal.share_ratio; };
  if (!holds(0.0)) return 0.0;
  double stands_m = 0.0;
  double fails_m = 1e-3;
  while (holds(fails_m)) {
    stands_m = fails_m;
    fails_m *= 2.0;
  }
  while (fails_m - stands_m > 1e-8) {
    const double middle_m = 0.5 * (stands_m + fails_m);
    (holds(middle_m) ? stands_m : fails_m) = middle_m;
  }
  return stands_m;
}

}  // namespace

double break_even_scatter_m(std::span<const double> errors_m, long long sensed, const Goal& goal) {
  return found_scatter_m(sensed, goal, [&](double scatter_m) {
    return scattered_share_ratio(errors_m, sensed, scatter_m, goal);
  });
}

double break_even_scatter_m(std::span<const double> errors_m, std::span<const long long> counts,
                            long long sensed, const Goal& goal) {
  EXPECTS(errors_m.size() == counts.size());
  return found_scatter_m(sensed, goal, [&](double scatter_m) {
    double good = 0.0;
    for (std::size_t k = 0; k < errors_m.size(); ++k)
      good += static_cast<double>(counts[k]) * good_ratio(errors_m[k], scatter_m, goal);
    return good / static_cast<double>(sensed);
  });
}

}  // namespace sim::measure
