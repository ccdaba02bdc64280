// The operations in which the hot step is written, so that one source serves one row (double) and
// lanes of rows.
//
// A choice inside the step is a select over a mask; a branch is taken only for what is rare in
// every row, by any().
// Errors   none     Shape   scalars; a lane type brings its own overloads
// Checked  tests/model/number_test.cc
#pragma once

namespace model {

inline double select(bool mask, double yes_ratio, double no_ratio) {
  return mask ? yes_ratio : no_ratio;
}
inline bool any(bool mask) { return mask; }
inline bool all(bool mask) { return mask; }
inline double sqrt_of(double x_ratio) { return __builtin_sqrt(x_ratio); }
inline double max_of(double a_ratio, double b_ratio) {
  return a_ratio > b_ratio ? a_ratio : b_ratio;
}
inline double min_of(double a_ratio, double b_ratio) {
  return a_ratio < b_ratio ? a_ratio : b_ratio;
}
inline double abs_of(double x_ratio) { return __builtin_fabs(x_ratio); }

}  // namespace model
