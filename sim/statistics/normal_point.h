// Percentage points of the normal distribution, fast and to 16 digits: for draws by the thousand,
// where halving an interval (quantiles.h) would cost too much and leave the last digits uncertain.
//
//   rational approximations in three ranges of the share
//
// Valid    shares above 0 and below 1 (EXPECTS)
// Source   M. J. Wichura, Algorithm AS 241, Applied Statistics 37, 1988, PPND16
// Checked  tests/published/normal_point_test.cc
#pragma once

namespace sim::statistics {

/// x with P(X <= x) = share for a standard normal X.
double normal_point_ratio(double share_ratio);
/// P(X <= x), the inverse of normal_point_ratio.
double normal_share_ratio(double x_ratio);

}  // namespace sim::statistics
