// Least squares against a published nonlinear regression, and the descent in a bent valley.
#include "sim/study/valve/fit/valve_fit_solve.h"

#include <gtest/gtest.h>

#include <array>

namespace sim::valve {
namespace {

// Rate of an enzyme treated with puromycin over concentration: D. Bates, D. Watts, Nonlinear
// Regression Analysis and Its Applications, 1988, appendix A1.3 (from memory).
constexpr std::array<double, 12> kConcentration_ratio = {0.02, 0.02, 0.06, 0.06, 0.11, 0.11,
                                                         0.22, 0.22, 0.56, 0.56, 1.10, 1.10};
constexpr std::array<double, 12> kRate_ratio = {76,  47,  97,  107, 123, 139,
                                                159, 152, 191, 201, 207, 200};

// Vm 212.7 with standard error 6.95, K 0.06412 with 0.00828, residual 10.93 on 10 degrees of
// freedom (the same book, from memory).
TEST(ValveFitSolve, ThePublishedRegressionOfAnEnzyme) {
  SquaresProblem problem;
  problem.residuals = [](const Eigen::VectorXd& x) {
    Eigen::VectorXd left(12);
    for (std::size_t k = 0; k < 12; ++k)
      left(static_cast<Eigen::Index>(k)) =
          x(0) * kConcentration_ratio[k] / (x(1) + kConcentration_ratio[k]) - kRate_ratio[k];
    return left;
  };
  problem.start = Eigen::Vector2d(150.0, 0.1);
  problem.steps = Eigen::Vector2d(1e-2, 1e-5);
  problem.close_ratio = 1e-12;
  // One block: the sandwich is zero there, and the widths are the book's.
  problem.blocks.assign(12, 0);
  const SquaresFit fit = solve_squares(problem);
  ASSERT_TRUE(fit.solved);
  EXPECT_NEAR(fit.x(0), 212.68, 0.02);
  EXPECT_NEAR(fit.x(1), 0.06412, 2e-5);
  EXPECT_NEAR(fit.left.squaredNorm() / 10.0, 10.93 * 10.93, 0.1);
  EXPECT_NEAR(fit.half_width(0) / 1.96, 6.947, 0.02);
  EXPECT_NEAR(fit.half_width(1) / 1.96, 0.008281, 2e-5);
}

// A valley that bends: from its side the descent reaches the bottom, with one evaluation per step.
TEST(ValveFitSolve, ADescentFollowsABentValley) {
  int evaluations = 0;
  SquaresProblem problem;
  problem.residuals = [&](const Eigen::VectorXd& x) {
    ++evaluations;
    return Eigen::VectorXd(Eigen::Vector3d(30.0 * (x(1) - x(0) * x(0)), 1.0 - x(0), 0.1));
  };
  problem.steps = Eigen::Vector2d(1e-4, 1e-4);
  problem.blocks = {0, 1, 2};
  const SquaresFit side = judged_squares(problem, Eigen::Vector2d(0.9, 0.8));
  ASSERT_TRUE(side.solved);
  evaluations = 0;
  const Eigen::VectorXd lowest = lowest_near(problem, side);
  EXPECT_LE(evaluations, 8);
  EXPECT_LT(problem.residuals(lowest).squaredNorm(), 0.01 + 0.003);
  EXPECT_GT(side.left.squaredNorm(), 0.02);
}

}  // namespace
}  // namespace sim::valve
