// Weighted least squares of a function, solved by a library's Levenberg-Marquardt, and the 95 %
// intervals of the solution.
//
//   minimise sum r_i(x)^2, r in units of its own noise. The Jacobian is taken by central
//   differences; its columns are computed in parallel and placed by index.
//   Interval  the normal distribution's 97.5 % point (1.96) times the larger of: root of (J'J)^-1
//             times the rms of r (at least 1), and the root of the sandwich (J'J)^-1 (sum over
//             blocks g g') (J'J)^-1, g = sum of J_i r_i over a block of neighbouring rows (the
//             correlated residuals of a block count as one)
//
// Errors   EXPECTS more rows than unknowns; `solved` false where J'J has no inverse
// Source   MINPACK's lmder by way of Eigen's unsupported LevenbergMarquardt; sandwich: H. White,
//          Econometrica 48, 1980 (from memory)
// Checked  tests/sim/study/valve/fit/valve_fit_test.cc
#pragma once

#include <Eigen/Dense>
#include <functional>
#include <vector>

namespace sim::valve {

using Residuals = std::function<Eigen::VectorXd(const Eigen::VectorXd&)>;

struct SquaresProblem {
  Residuals residuals;
  std::function<void(const Eigen::VectorXd&)> prepare;  // before a Jacobian at x; may be empty
  Eigen::VectorXd start;
  Eigen::VectorXd steps;      // of the central differences
  double close_ratio = 1e-5;  // stops where the sum of squares falls by less than this share
  std::vector<int> blocks;    // of each row; neighbouring rows share a block
};

struct SquaresFit {
  bool solved = false;
  Eigen::VectorXd x;
  Eigen::VectorXd left;  // residuals at x
  Eigen::MatrixXd jacobian;
  Eigen::MatrixXd covariance;  // (J'J)^-1 max(1, mean square); diagonal at least the sandwich's
  Eigen::VectorXd half_width;  // 95 %
  int evaluations = 0;
};

SquaresFit solve_squares(const SquaresProblem& problem);
/// The same figures at a given x, which counts as the solution.
SquaresFit judged_squares(const SquaresProblem& problem, const Eigen::VectorXd& x);
/// A lower place in the flat valley where poorly determined unknowns replace each other: a few
/// Gauss-Newton steps whose Jacobian Broyden's rule corrects on the way, so that no step costs more
/// than one evaluation. `fit` must be solved.   Source C. Broyden, Mathematics of Computation 19,
/// 1965
Eigen::VectorXd lowest_near(const SquaresProblem& problem, const SquaresFit& fit);
Eigen::MatrixXd jacobian_of(const SquaresProblem& problem, const Eigen::VectorXd& x);
/// (J'J)^-1 J' shift: how far the solution moves when all residuals change by `shift`.
Eigen::VectorXd response_of(const SquaresFit& fit, const Eigen::VectorXd& shift);

}  // namespace sim::valve
