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

}  // namespace

double scattered_share_ratio(std::span<const double> errors_m, long long sensed, double scatter_m,
                             const Goal& goal) {
  EXPECTS(sensed >= static_cast<long long>(errors_m.size()) && scatter_m >= 0.0);
  double good = 0.0;
  for (double e_m : errors_m) {
    if (scatter_m == 0.0) {
      good += std::fabs(e_m) <= goal.tolerance_m ? 1.0 : 0.0;
    } else {
      good += normal_below_ratio((goal.tolerance_m - e_m) / scatter_m) -
              normal_below_ratio((-goal.tolerance_m - e_m) / scatter_m);
    }
  }
  return good / static_cast<double>(sensed);
}

// The share tends to 0 with growing scatter, so doubling finds an end beyond the crossing, and
// halving then closes in to a hundredth of a micrometre.
double break_even_scatter_m(std::span<const double> errors_m, long long sensed, const Goal& goal) {
  EXPECTS(goal.tolerance_m > 0.0 && goal.share_ratio > 0.0 && goal.share_ratio < 1.0);
  if (sensed == 0) return statistics::kNone_ratio;
  const auto holds = [&](double scatter_m) {
    return scattered_share_ratio(errors_m, sensed, scatter_m, goal) >= goal.share_ratio;
  };
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

}  // namespace sim::measure
