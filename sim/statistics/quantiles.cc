#include "sim/statistics/quantiles.h"

#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace sim::statistics {
namespace {

constexpr int kMostSeries = 300;  // above it the series of chi-square would leave the range of exp
constexpr int kMostFreedom = 10'000;  // above it t differs from the normal by less than 1e-3
constexpr double kTail_frac = 1e-12;

double normal_below_frac(double z_ratio) { return 0.5 * model::erfc_of(-z_ratio / std::sqrt(2.0)); }

// Share of Student's t between -t and t.
double student_within_frac(double t_ratio, int freedom) {
  const double n_ratio = freedom;
  const double root_ratio = std::sqrt(n_ratio + t_ratio * t_ratio);
  const double sine_ratio = t_ratio / root_ratio;
  const double cosine2_ratio = n_ratio / (root_ratio * root_ratio);
  const bool odd = freedom % 2 == 1;
  double term_ratio = odd ? std::sqrt(cosine2_ratio) : 1.0;
  double sum_ratio = freedom == 1 ? 0.0 : term_ratio;
  for (int k = odd ? 2 : 1; k + 2 <= freedom - 1; k += 2) {
    term_ratio *= cosine2_ratio * k / (k + 1);
    sum_ratio += term_ratio;
  }
  if (!odd) return sine_ratio * sum_ratio;
  const double theta_rad = model::atan2_of(t_ratio, std::sqrt(n_ratio));
  return 2.0 / shared::kPi_ratio * (theta_rad + sine_ratio * sum_ratio);
}

double chi_square_below_frac(double x_ratio, int freedom) {
  const bool odd = freedom % 2 == 1;
  const double decay_ratio = model::exp_of(-0.5 * x_ratio);
  double term_ratio =
      odd ? decay_ratio * std::sqrt(2.0 * x_ratio / shared::kPi_ratio) : decay_ratio;
  double above_frac = odd ? model::erfc_of(std::sqrt(0.5 * x_ratio)) : 0.0;
  for (int k = odd ? 1 : 0; k < freedom; k += 2) {
    above_frac += term_ratio;
    term_ratio *= x_ratio / (k + 2);
  }
  return 1.0 - above_frac;
}

template <typename Below>
double turned_round_ratio(double below_frac, double low_ratio, double high_ratio,
                          const Below& below) {
  for (int halving = 0; halving < 100; ++halving) {
    const double middle_ratio = 0.5 * (low_ratio + high_ratio);
    (below(middle_ratio) < below_frac ? low_ratio : high_ratio) = middle_ratio;
  }
  return 0.5 * (low_ratio + high_ratio);
}

}  // namespace

double normal_quantile_ratio(double below_frac) {
  EXPECTS(below_frac >= kTail_frac && below_frac <= 1.0 - kTail_frac);
  // erfc keeps all its digits in the lower tail, so the upper half is mirrored.
  if (below_frac > 0.5) return -normal_quantile_ratio(1.0 - below_frac);
  return turned_round_ratio(below_frac, -8.0, 0.0, normal_below_frac);
}

double student_quantile_ratio(double below_frac, int freedom) {
  EXPECTS(below_frac >= kTail_frac && below_frac <= 1.0 - kTail_frac && freedom >= 1);
  if (below_frac < 0.5) return -student_quantile_ratio(1.0 - below_frac, freedom);
  freedom = std::min(freedom, kMostFreedom);
  const double within_frac = 2.0 * below_frac - 1.0;
  double high_ratio = 1.0;
  while (student_within_frac(high_ratio, freedom) < within_frac && high_ratio < 1e13)
    high_ratio *= 2.0;
  return turned_round_ratio(within_frac, 0.0, high_ratio, [freedom](double t_ratio) {
    return student_within_frac(t_ratio, freedom);
  });
}

double chi_square_quantile_ratio(double below_frac, int freedom) {
  EXPECTS(below_frac >= kTail_frac && below_frac <= 1.0 - kTail_frac && freedom >= 1);
  if (freedom > kMostSeries) {
    const double spread_ratio = 2.0 / (9.0 * freedom);
    const double root_ratio =
        1.0 - spread_ratio + normal_quantile_ratio(below_frac) * std::sqrt(spread_ratio);
    return freedom * root_ratio * root_ratio * root_ratio;
  }
  return turned_round_ratio(
      below_frac, 0.0, freedom + 20.0 * std::sqrt(2.0 * freedom) + 60.0,
      [freedom](double x_ratio) { return chi_square_below_frac(x_ratio, freedom); });
}

}  // namespace sim::statistics
