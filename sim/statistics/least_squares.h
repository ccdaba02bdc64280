// Least squares by normal equations, with the rows of the design given one by one. The intervals
// remain valid when whole clusters of rows share an error.
//
//   A = sum x x', z = sum x y, beta = A^-1 z
//   Besides, each cluster has an offset of its own (a row's mount). The variance s_b^2 of the
//   offsets and the variance s_w^2 within a cluster are estimated from the residuals of a first
//   fit, and a second fit weights with them:
//     A -> sum over clusters (sum x x' - k n xm xm'), z likewise, xm the cluster's mean,
//     k = 2 q - q^2,  q = 1 - s_w/sqrt(s_w^2 + n s_b^2)
//   covariance = A^-1 (sum over clusters u u') A^-1 G/(G - P),  u = sum x e - k n xm em
//   A row is given by its few entries that are not zero. The sums run in the given order, so the
//   bytes do not depend on threads.
//
// Errors   solve() returns false when a pivot of the LDL' factorisation is at most 1e-10 of the
//          largest (the rows do not tell the unknowns apart) or there are no more clusters than
//          unknowns
// Source   random effects: W. A. Fuller, G. E. Battese, J. Am. Stat. Assoc. 68, 1973; K.-Y.
//          Liang, S. L. Zeger, Biometrika 73(1), 1986 (from memory)
// Checked  tests/sim/study/delay/delay_fit_test.cc
#pragma once

#include <Eigen/Dense>
#include <span>
#include <vector>

namespace sim::statistics {

struct DesignEntry {
  int unknown = 0;
  double factor = 0.0;  // tidy: unit the observation's over the unknown's
};

class LeastSquares {
 public:
  explicit LeastSquares(int unknowns);

  /// One observation of a cluster; clusters may be numbered in any order.
  void take(std::span<const DesignEntry> row, double observed, int cluster);  // tidy: unit caller's
  bool solve();

  double value(int unknown) const { return beta_(unknown); }  // tidy: unit the unknown's
  /// Half of the 95 % interval, from the clusters.
  double half_width(int unknown) const;  // tidy: unit the unknown's
  double correlation_ratio(int one, int other) const;
  double residual_rms() const { return residual_rms_; }  // tidy: unit the observation's
  int clusters() const { return clusters_; }

 private:
  struct Observation {
    std::size_t first = 0;
    std::size_t count = 0;
    double observed = 0.0;  // tidy: unit caller's
    int cluster = 0;
  };
  struct Cluster {
    double count = 0.0;         // tidy: unit observations
    double residual_sum = 0.0;  // tidy: unit the observation's
    double keep_ratio = 0.0;    // k
    Eigen::VectorXd row_sum;
    double observed_sum = 0.0;  // tidy: unit the observation's
    Eigen::VectorXd score;
  };
  bool invert();
  void sum_residuals();
  void find_spreads();

  int unknowns_ = 0;
  Eigen::MatrixXd normal_;  // with the present weights
  Eigen::VectorXd right_;
  Eigen::MatrixXd inverse_;
  Eigen::VectorXd beta_;
  Eigen::MatrixXd covariance_;
  std::vector<DesignEntry> entries_;
  std::vector<Observation> observations_;
  std::vector<Cluster> groups_;
  double residual_rms_ = 0.0;  // tidy: unit the observation's
  int clusters_ = 0;
};

}  // namespace sim::statistics
