// Least squares of up to eight unknowns by scaled normal equations, with priors as rows.
//
//   minimise sum (y - x b)^2;  covariance of b is (X'X)^-1 times the variance of a sample
//
// Errors   solve() is false where the samples do not separate the unknowns
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc
#pragma once

#include <array>

namespace sim::valve {

class SmallFit {
 public:
  static constexpr int kMost = 8;
  using Row = std::array<double, kMost>;

  explicit SmallFit(int unknowns) : unknowns_(unknowns) {}
  void take(const Row& row, double y, double weight_ratio = 1.0);  // tidy: unit the caller's
  bool solve(bool with_variance = true);
  double value(int unknown) const { return beta_[at(unknown)]; }  // tidy: unit the unknown's
  /// Variance of the unknown where a sample's variance is 1.
  double variance(int unknown) const { return variance_[at(unknown)]; }  // tidy: unit the caller's
  double rest() const { return rest_; }  // tidy: unit sum of squares left over
  int samples() const { return samples_; }

 private:
  static std::size_t at(int unknown) { return static_cast<std::size_t>(unknown); }

  int unknowns_;
  int samples_ = 0;
  std::array<Row, kMost> normal_{};
  Row right_{};
  Row beta_{};
  Row variance_{};
  double yy_ = 0.0;    // tidy: unit the caller's
  double rest_ = 0.0;  // tidy: unit the caller's
};

}  // namespace sim::valve
