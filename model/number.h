// The operations in which the hot step is written, so that one source serves one row (double) and
// lanes of rows.
//
// A choice inside the step is a select over a mask; a branch is taken only for what is rare in
// every row, by any(). Always inline: a copy that some file compiled for a newer processor must
// never serve another file.
// Errors   none     Shape   scalars; lanes of rows bring their own overloads (model/lanes.h)
// Checked  tests/model/number_test.cc
#pragma once

namespace model {

/// What a comparison of two Reals gives.
template <class Real>
using MaskOf = decltype(Real{} < Real{});

[[gnu::always_inline]] inline double select(bool mask, double yes_ratio, double no_ratio) {
  return mask ? yes_ratio : no_ratio;
}
[[gnu::always_inline]] inline bool any(bool mask) { return mask; }
[[gnu::always_inline]] inline bool all(bool mask) { return mask; }
[[gnu::always_inline]] inline double sqrt_of(double x_ratio) { return __builtin_sqrt(x_ratio); }
[[gnu::always_inline]] inline double max_of(double a_ratio, double b_ratio) {
  return a_ratio > b_ratio ? a_ratio : b_ratio;
}
[[gnu::always_inline]] inline double min_of(double a_ratio, double b_ratio) {
  return a_ratio < b_ratio ? a_ratio : b_ratio;
}
[[gnu::always_inline]] inline double abs_of(double x_ratio) { return __builtin_fabs(x_ratio); }

/// A whole number per row.
template <class Real>
struct WholesOf {
  using Type = typename Real::Wholes;
};
template <>
struct WholesOf<double> {
  using Type = int;
};

[[gnu::always_inline]] inline double signed_like(double size_ratio, double sign_ratio) {
  return __builtin_copysign(size_ratio, sign_ratio);
}

}  // namespace model
