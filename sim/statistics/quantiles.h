// Limits of the normal, Student's t and chi-square distributions: the value below which a share
// `below` of all draws lies.
//
//   normal      P = erfc(-z/sqrt 2)/2
//   t           finite series in theta = atan(t/sqrt n), odd and even n
//   chi-square  finite series, odd and even n; above 300 degrees of freedom the cube root of
//               chi2/n is normal with mean 1 - 2/(9n) and variance 2/(9n)
//   Each function is inverted by halving an interval 100 times.
//
// Valid    below in [1e-12, 1 - 1e-12]; freedom at least 1, whole: a caller with a fractional
//          number of degrees rounds it down, which makes the interval wider
// Errors   EXPECTS
// Source   M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions, 26.4.4, 26.4.5 and
//          26.7.3, 26.7.4; E. B. Wilson, M. M. Hilferty, PNAS 17, 1931 (from memory)
// Checked  tests/sim/statistics/quantiles_test.cc
#pragma once

namespace sim::statistics {

/// Half of a two-sided 95 % interval of a normal, in standard deviations.
inline constexpr double kTwoSided95_ratio = 1.959963984540054;

double normal_quantile_ratio(double below_frac);
double student_quantile_ratio(double below_frac, int freedom);
double chi_square_quantile_ratio(double below_frac, int freedom);

}  // namespace sim::statistics
