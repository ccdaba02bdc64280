// How values scatter: mean, sd and quantiles, by the one definition that all figures use.
//
//   quantile   linear between the sorted values: h = (n - 1) p, x[floor h] + (h - floor h) (next -
//              x[floor h]); "type 7" of Hyndman and Fan 1996
//   sd         divisor n - 1; not-a-number for fewer than two values
//   median     of an even number of values, the mean of the two middle ones
//   upper median   of an even number of values, the upper of the two middle ones, so that the
//              result is one of the values: for figures that noise or a coarse clock has put on a
//              few levels
//
// Input    values in any order, without not-a-number      Output   not-a-number when empty
// Source   R. J. Hyndman, Y. Fan, The American Statistician 50(4), 1996 (from memory)
// Checked  tests/sim/statistics/spread_test.cc, tests/sim/measure/summary_test.cc
#pragma once

#include <span>
#include <vector>

#include "sim/statistics/none.h"

namespace sim::statistics {

struct Spread {
  double mean_m = kNone_ratio, sd_m = kNone_ratio;
  double p05_m = kNone_ratio, p50_m = kNone_ratio, p95_m = kNone_ratio;
  double abs_p95_m = kNone_ratio, max_abs_m = kNone_ratio;
};

double mean_of(std::span<const double> values);  // tidy: unit is the metric's
double sd_of(std::span<const double> values);    // tidy: unit is the metric's
/// The values must be sorted already.
double quantile_of(std::span<const double> sorted,  // tidy: unit is the metric's
                   double share_ratio);
double median_of(std::vector<double> values);        // tidy: unit is the metric's
double upper_median_of(std::vector<double> values);  // tidy: unit is the metric's
Spread spread_of(std::vector<double> values_m);

/// Width of a uniform distribution over its standard deviation: the square root of 12.
inline constexpr double kWidthOfEvenSpread_ratio = 3.4641016151377544;

/// The standard deviation of a sum of independent parts, or the length of a vector.
double root_of_squares(double a, double b, double c = 0.0);  // tidy: unit is the caller's

}  // namespace sim::statistics
