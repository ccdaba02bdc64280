#include "sim/study/valve/fit/valve_fit_solve.h"

#include <tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <unsupported/Eigen/LevenbergMarquardt>

#include "shared/check.h"
#include "sim/statistics/quantiles.h"

namespace sim::valve {
namespace {

constexpr int kMostEvaluations = 60;
constexpr int kMostSteps = 8;              // of a descent
constexpr double kSmallFall_ratio = 0.01;  // of the squared noise of one residual

/// The interface that the library requires of a function.
struct Functor : Eigen::DenseFunctor<double> {
  Functor(const SquaresProblem& given, int rows)
      : Eigen::DenseFunctor<double>(static_cast<int>(given.start.size()), rows), problem(given) {}
  int operator()(const Eigen::VectorXd& x, Eigen::VectorXd& r) {
    r = problem.residuals(x);
    ++evaluations;
    return 0;
  }
  int df(const Eigen::VectorXd& x, Eigen::MatrixXd& jacobian) {
    jacobian = jacobian_of(problem, x);
    evaluations += 2 * static_cast<int>(x.size());
    return 0;
  }
  const SquaresProblem& problem;
  int evaluations = 0;
};

Eigen::MatrixXd sandwich_of(const SquaresFit& fit, const Eigen::MatrixXd& inverse,
                            const std::vector<int>& blocks) {
  const Eigen::Index unknowns = fit.x.size();
  Eigen::MatrixXd meat = Eigen::MatrixXd::Zero(unknowns, unknowns);
  Eigen::VectorXd score = Eigen::VectorXd::Zero(unknowns);
  double count_ratio = 0.0;
  for (Eigen::Index i = 0; i < fit.left.size(); ++i) {
    score += fit.jacobian.row(i).transpose() * fit.left(i);
    const bool last = i + 1 == fit.left.size() || blocks[static_cast<std::size_t>(i)] !=
                                                      blocks[static_cast<std::size_t>(i) + 1];
    if (!last) continue;
    meat += score * score.transpose();
    score.setZero();
    count_ratio += 1.0;
  }
  const auto p = static_cast<double>(unknowns);
  return inverse * meat * inverse * (count_ratio / std::max(1.0, count_ratio - p));
}

}  // namespace

Eigen::MatrixXd jacobian_of(const SquaresProblem& problem, const Eigen::VectorXd& x) {
  if (problem.prepare) problem.prepare(x);
  const auto columns = static_cast<std::size_t>(x.size());
  std::vector<Eigen::VectorXd> differences(columns);
  tbb::parallel_for(std::size_t{0}, columns, [&](std::size_t column) {
    const auto j = static_cast<Eigen::Index>(column);
    Eigen::VectorXd above = x, below = x;
    above(j) += problem.steps(j);
    below(j) -= problem.steps(j);
    differences[column] =
        (problem.residuals(above) - problem.residuals(below)) / (2.0 * problem.steps(j));
  });
  Eigen::MatrixXd jacobian(differences[0].size(), x.size());
  for (std::size_t column = 0; column < columns; ++column)
    jacobian.col(static_cast<Eigen::Index>(column)) = differences[column];
  return jacobian;
}

SquaresFit judged_squares(const SquaresProblem& problem, const Eigen::VectorXd& x) {
  SquaresFit fit;
  fit.x = x;
  fit.left = problem.residuals(x);
  fit.jacobian = jacobian_of(problem, x);
  const Eigen::MatrixXd normal = fit.jacobian.transpose() * fit.jacobian;
  const Eigen::LDLT<Eigen::MatrixXd> factors(normal);
  const Eigen::VectorXd pivots = factors.vectorD();
  if (!(pivots.minCoeff() > 1e-12 * pivots.maxCoeff())) return fit;
  const Eigen::MatrixXd inverse =
      factors.solve(Eigen::MatrixXd::Identity(fit.x.size(), fit.x.size()));
  const auto freedom = static_cast<double>(fit.left.size() - fit.x.size());
  const double mean_square_ratio = fit.left.squaredNorm() / freedom;
  fit.covariance = inverse * std::max(1.0, mean_square_ratio);
  const Eigen::MatrixXd robust = sandwich_of(fit, inverse, problem.blocks);
  fit.half_width.resize(fit.x.size());
  for (Eigen::Index j = 0; j < fit.x.size(); ++j) {
    fit.covariance(j, j) = std::max(fit.covariance(j, j), robust(j, j));
    fit.half_width(j) = statistics::kTwoSided95_ratio * std::sqrt(fit.covariance(j, j));
  }
  fit.solved = true;
  return fit;
}

SquaresFit solve_squares(const SquaresProblem& problem) {
  Eigen::VectorXd x = problem.start;
  const Eigen::Index rows = problem.residuals(x).size();
  EXPECTS(rows > x.size() && static_cast<std::size_t>(rows) == problem.blocks.size());
  Functor functor(problem, static_cast<int>(rows));
  Eigen::LevenbergMarquardt<Functor> solver(functor);
  solver.setMaxfev(kMostEvaluations);
  solver.setFtol(problem.close_ratio);
  solver.setXtol(1e-6);
  solver.setFactor(1e3);  // the first trust region, in units of the noise
  solver.minimize(x);
  SquaresFit fit = judged_squares(problem, x);
  fit.evaluations = functor.evaluations;
  return fit;
}

Eigen::VectorXd lowest_near(const SquaresProblem& problem, const SquaresFit& fit) {
  // Unknowns in units of their standard errors: Broyden's rule takes the smallest correction, and
  // small must mean the same for all.
  const Eigen::VectorXd unit = fit.covariance.diagonal().cwiseSqrt();
  Eigen::MatrixXd slope = fit.jacobian * unit.asDiagonal();
  Eigen::VectorXd best_x = fit.x, best_left = fit.left;
  for (int step = 0; step < kMostSteps; ++step) {
    const Eigen::VectorXd right = slope.transpose() * best_left;
    const Eigen::VectorXd move = -(slope.transpose() * slope).ldlt().solve(right);
    if (-right.dot(move) < kSmallFall_ratio) break;
    const Eigen::VectorXd x = best_x + unit.cwiseProduct(move);
    const Eigen::VectorXd left = problem.residuals(x);
    // A step that does not fall has still corrected the Jacobian for the next one.
    slope += (left - best_left - slope * move) * move.transpose() / move.squaredNorm();
    if (!(left.squaredNorm() < best_left.squaredNorm())) continue;
    best_x = x;
    best_left = left;
  }
  return best_x;
}

Eigen::VectorXd response_of(const SquaresFit& fit, const Eigen::VectorXd& shift) {
  const Eigen::MatrixXd normal = fit.jacobian.transpose() * fit.jacobian;
  const Eigen::VectorXd right = fit.jacobian.transpose() * shift;
  return normal.ldlt().solve(right);
}

}  // namespace sim::valve
