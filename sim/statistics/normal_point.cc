#include "sim/statistics/normal_point.h"

#include <array>
#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"

namespace sim::statistics {
namespace {

// Coefficients from the highest power to the lowest; Wichura prints them in the other order.
struct Rational {
  std::array<double, 8> above_ratio;
  std::array<double, 8> below_ratio;
};

constexpr Rational kMiddle = {
    {2509.0809287301226727, 33430.575583588128105, 67265.770927008700853, 45921.953931549871457,
     13731.693765509461125, 1971.5909503065514427, 133.14166789178437745, 3.387132872796366608},
    {5226.495278852854561, 28729.085735721942674, 39307.89580009271061, 21213.794301586595867,
     5394.1960214247511077, 687.1870074920579083, 42.313330701600911252, 1.0}};
constexpr Rational kFlank = {
    {7.7454501427834140764e-4, 0.0227238449892691845833, 0.24178072517745061177,
     1.27045825245236838258, 3.64784832476320460504, 5.7694972214606914055, 4.6303378461565452959,
     1.42343711074968357734},
    {1.05075007164441684324e-9, 5.475938084995344946e-4, 0.0151986665636164571966,
     0.14810397642748007459, 0.68976733498510000455, 1.6763848301838038494, 2.05319162663775882187,
     1.0}};
constexpr Rational kTail = {
    {2.01033439929228813265e-7, 2.71155556874348757815e-5, 0.0012426609473880784386,
     0.026532189526576123093, 0.29656057182850489123, 1.7848265399172913358, 5.4637849111641143699,
     6.6579046435011037772},
    {2.04426310338993978564e-15, 1.4215117583164458887e-7, 1.8463183175100546818e-5,
     7.868691311456132591e-4, 0.0148753612908506148525, 0.13692988092273580531,
     0.59983220655588793769, 1.0}};

double value_of(const Rational& rational, double r_ratio) {
  double above_ratio = 0.0, below_ratio = 0.0;
  for (const double coefficient_ratio : rational.above_ratio)
    above_ratio = above_ratio * r_ratio + coefficient_ratio;
  for (const double coefficient_ratio : rational.below_ratio)
    below_ratio = below_ratio * r_ratio + coefficient_ratio;
  return above_ratio / below_ratio;
}

}  // namespace

double normal_point_ratio(double share_ratio) {
  EXPECTS(share_ratio > 0.0 && share_ratio < 1.0);
  const double q_ratio = share_ratio - 0.5;
  if (std::fabs(q_ratio) <= 0.425) return q_ratio * value_of(kMiddle, 0.180625 - q_ratio * q_ratio);
  const double tail_ratio = q_ratio < 0.0 ? share_ratio : 1.0 - share_ratio;
  const double r_ratio = std::sqrt(-model::log_of(tail_ratio));
  const double size_ratio =
      r_ratio <= 5.0 ? value_of(kFlank, r_ratio - 1.6) : value_of(kTail, r_ratio - 5.0);
  return q_ratio < 0.0 ? -size_ratio : size_ratio;
}

double normal_share_ratio(double x_ratio) {
  return 0.5 * model::erfc_of(-x_ratio / std::sqrt(2.0));
}

}  // namespace sim::statistics
