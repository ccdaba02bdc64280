#include "sim/study/valve/fit/valve_fit_hold.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string_view>
#include <utility>

#include "sim/bench/pass.h"
#include "sim/scenario/loader.h"
#include "sim/statistics/quantiles.h"

namespace sim::valve {
namespace {

// Indices of either list of unknowns (valve_fit_problem.h).
constexpr std::size_t kForceConstant = 2, kPreload = 4, kFriction = 6, kTravel = 7;
constexpr std::int64_t kSearchStep_ns = 10'000;
constexpr std::int64_t kFarStep_ns = 20'000;
constexpr double kGoodStart_ratio = 1.1;  // mean square of the residuals
constexpr double kWideSteps_ratio = 4.0;
// Starts: logarithms of the force constant, and of the preload beyond what follows from it.
constexpr std::pair<double, double> kStarts_ratio[] = {
    {0.0, 0.0}, {-0.12, 0.0}, {0.12, 0.0}, {0.0, -0.25}, {0.0, 0.25}, {-0.24, 0.0}, {0.24, 0.0}};
constexpr double kFirstFrictions_n[] = {0.1, 0.5, 1.0};
constexpr double kMoreThanChance_ratio = 10.8;  // chi-square, one degree, level 0.999
constexpr int kGivesScale = 2;                  // mass and seat
constexpr double kTakesPart_ratio = 0.3;
constexpr double kShiftStep_ratio = 0.2;     // of a sample
constexpr double kMisfitLevel_frac = 0.999;  // chance alone exceeds it once in 1000

SquaresProblem squares_of(FitProblem& problem, const Eigen::VectorXd& start, double wider_ratio,
                          const std::atomic<bool>* stop, std::int64_t step_ns = kFitStep_ns) {
  SquaresProblem squares;
  squares.residuals = [&problem, stop, step_ns](const Eigen::VectorXd& x) {
    if (stop != nullptr && stop->load(std::memory_order_relaxed))
      throw bench::Interrupted("interrupted");
    return problem.residuals(x, step_ns);
  };
  squares.prepare = [&problem, step_ns](const Eigen::VectorXd& x) { problem.remember(x, step_ns); };
  squares.start = start;
  squares.steps = Eigen::VectorXd::Constant(problem.size(), kShiftStep_ratio);
  for (std::size_t j = 0; j < problem.free.size(); ++j)
    squares.steps(static_cast<Eigen::Index>(j)) =
        wider_ratio * problem.unknowns[problem.free[j]].step_ratio;
  squares.blocks = problem.blocks();
  return squares;
}

/// Information of the free unknowns without the shifts, in judged units; scale_ratio: rms of the
/// residuals.
Eigen::MatrixXd information_of(const FitProblem& problem, const Eigen::MatrixXd& jacobian,
                               const model::Valve& valve, double scale_ratio) {
  const auto unknowns = static_cast<Eigen::Index>(problem.free.size());
  const Eigen::Index shifts = jacobian.cols() - unknowns;
  const Eigen::MatrixXd normal = jacobian.transpose() * jacobian / (scale_ratio * scale_ratio);
  const Eigen::MatrixXd own = normal.bottomRightCorner(shifts, shifts);
  const Eigen::MatrixXd cross = normal.topRightCorner(unknowns, shifts);
  Eigen::MatrixXd left =
      normal.topLeftCorner(unknowns, unknowns) - cross * own.ldlt().solve(cross.transpose());
  for (Eigen::Index j = 0; j < unknowns; ++j) {
    const double unit = judged_against(problem.unknowns[problem.free[static_cast<std::size_t>(j)]],
                                       valve);  // tidy: unit of x
    left.row(j) *= unit;
    left.col(j) *= unit;
  }
  return left;
}

struct Hold {
  std::size_t column = kMostUnknowns;  // into problem.free; kMostUnknowns: nothing to hold
  std::string why;
};

std::string sentence(const FitProblem& problem, std::size_t held, const std::string& partners,
                     double width_ratio) {
  const Unknown& unknown = problem.unknowns[problem.free[held]];
  std::string why = partners.empty()
                        ? std::string("the trace does not tell it")
                        : fmt::format("the trace tells only a combination with {}", partners);
  if (width_ratio < 10.0) why += fmt::format(" (alone to {:.0f} %)", 100.0 * width_ratio);
  why += std::string(": ") + problem.held_words(problem.free[held]);
  if (*unknown.measure != '\0') why += std::string("; ") + unknown.measure;
  return why;
}

Hold next_hold(const FitProblem& problem, const Eigen::MatrixXd& information, double told_ratio) {
  const Eigen::SelfAdjointEigenSolver<Eigen::MatrixXd> parts(information);
  const Eigen::Index unknowns = information.rows();
  const double largest_ratio = std::max(parts.eigenvalues()(unknowns - 1), 1e-300);
  Eigen::VectorXd widths = Eigen::VectorXd::Zero(unknowns);
  for (Eigen::Index k = 0; k < unknowns; ++k) {
    const double strength_ratio = std::max(parts.eigenvalues()(k), 1e-14 * largest_ratio);
    widths += parts.eigenvectors().col(k).cwiseAbs2() / strength_ratio;
  }
  widths = statistics::kTwoSided95_ratio * widths.cwiseSqrt();
  if (!(widths.maxCoeff() > told_ratio) || unknowns <= 2) return {};
  const Eigen::VectorXd weakest = parts.eigenvectors().col(0).cwiseAbs();
  const double least_ratio = kTakesPart_ratio * weakest.maxCoeff();
  Hold hold;
  std::string partners;
  for (Eigen::Index j = 0; j < unknowns; ++j) {
    if (weakest(j) < least_ratio) continue;
    const auto column = static_cast<std::size_t>(j);
    if (hold.column == kMostUnknowns || problem.unknowns[problem.free[column]].by_hand <
                                            problem.unknowns[problem.free[hold.column]].by_hand)
      hold.column = column;
  }
  for (Eigen::Index j = 0; j < unknowns; ++j) {
    if (weakest(j) < least_ratio || static_cast<std::size_t>(j) == hold.column) continue;
    if (!partners.empty()) partners += ", ";
    partners += problem.unknowns[problem.free[static_cast<std::size_t>(j)]].name;
  }
  hold.why =
      sentence(problem, hold.column, partners, widths(static_cast<Eigen::Index>(hold.column)));
  return hold;
}

Eigen::MatrixXd without_column(const Eigen::MatrixXd& from, std::size_t column) {
  const auto at = static_cast<Eigen::Index>(column);
  Eigen::MatrixXd less(from.rows(), from.cols() - 1);
  less << from.leftCols(at), from.rightCols(from.cols() - at - 1);
  return less;
}

Eigen::VectorXd without(const Eigen::VectorXd& x, std::size_t column) {
  const auto at = static_cast<Eigen::Index>(column);
  Eigen::VectorXd less(x.size() - 1);
  less << x.head(at), x.tail(x.size() - at - 1);
  return less;
}

/// Holds unknowns until this Jacobian determines all others. True where it held any.
bool hold_by(FitProblem& problem, Eigen::MatrixXd jacobian, double scale_ratio, double told_ratio,
             Eigen::VectorXd& x, Settled& settled) {
  bool held = false;
  while (true) {
    const model::Valve valve = problem.valve_at(x);
    const Hold hold =
        next_hold(problem, information_of(problem, jacobian, valve, scale_ratio), told_ratio);
    if (hold.column == kMostUnknowns) return held;
    held = true;
    settled.why_held[problem.free[hold.column]] = hold.why;
    problem.free.erase(problem.free.begin() + static_cast<std::ptrdiff_t>(hold.column));
    jacobian = without_column(jacobian, hold.column);
    x = without(x, hold.column);
  }
}

/// The best result of several starts, with force constants on both sides of the setup's: the
/// landings make local minima, and a descent stays in the one where it starts.
Eigen::VectorXd approach(FitProblem& problem, const std::atomic<bool>* stop) {
  const auto place = [&](std::size_t unknown) {
    return static_cast<Eigen::Index>(std::find(problem.free.begin(), problem.free.end(), unknown) -
                                     problem.free.begin());
  };
  Eigen::VectorXd best;
  double least_ratio = HUGE_VAL;
  for (const auto& [shift_ratio, preload_ratio] : kStarts_ratio) {
    Eigen::VectorXd x = Eigen::VectorXd::Zero(problem.size());
    // A wider gap pulls less at the same inductance.
    const bool constant = problem.unknowns.size() < kMostUnknowns;
    x(place(kForceConstant)) = constant ? shift_ratio : -shift_ratio;
    x(place(kTravel)) = -shift_ratio;  // the trace gives the linkage, their product
    // The trace also gives the current at lift-off. Pressure adds to the preload there, so the
    // preload changes by more than the force constant.
    x(place(kPreload)) = 1.5 * shift_ratio + preload_ratio;
    SquaresFit fit;
    for (const double far_ratio : {20.0, 5.0}) {
      problem.emf_softness_ratio = far_ratio;
      SquaresProblem far = squares_of(problem, x, kWideSteps_ratio, stop, kFarStep_ns);
      far.close_ratio = 1e-3;
      fit = solve_squares(far);
      x = fit.x;
    }
    const double square_ratio = fit.left.squaredNorm();
    if (square_ratio >= least_ratio) continue;
    least_ratio = square_ratio;
    best = x;
    if (square_ratio < kGoodStart_ratio * static_cast<double>(fit.left.size())) break;
  }
  return best;
}

/// Frees friction last, from 0.1 N above the setup's. It stays free only where the residuals fall
/// by more than chance, all other unknowns stay determined, and it does not end at zero.
void free_friction(FitProblem& problem, double told_ratio, Settled& settled,
                   const std::atomic<bool>* stop) {
  const SquaresFit before = settled.fit;
  const auto place = static_cast<Eigen::Index>(problem.free.size());
  Eigen::VectorXd x(before.x.size() + 1);
  problem.free.push_back(kFriction);
  // If the valve rubs, the fit without friction has moved the other values far off; further starts
  // help then.
  double least_ratio = HUGE_VAL;
  for (const double first_n : kFirstFrictions_n) {
    x << before.x.head(place), first_n, before.x.tail(before.x.size() - place);
    const SquaresFit fit = solve_squares(squares_of(problem, x, 1.0, stop, kSearchStep_ns));
    if (fit.left.squaredNorm() < least_ratio) settled.fit = fit;
    least_ratio = std::min(least_ratio, fit.left.squaredNorm());
    if (least_ratio < kGoodStart_ratio * static_cast<double>(fit.left.size())) break;
  }
  settled.fit = solve_squares(squares_of(problem, settled.fit.x, 1.0, stop));
  const model::Valve valve = problem.valve_at(settled.fit.x);
  const double square_ratio = settled.fit.left.squaredNorm();
  const double rms_ratio = std::sqrt(square_ratio / static_cast<double>(settled.fit.left.size()));
  const bool told =
      settled.fit.solved && valve.plunger.coulomb_friction_n > 0.0 &&
      square_ratio + kMoreThanChance_ratio * rms_ratio * rms_ratio < before.left.squaredNorm() &&
      next_hold(problem,
                information_of(problem, settled.fit.jacobian, valve, std::max(1.0, rms_ratio)),
                told_ratio)
              .column == kMostUnknowns;
  if (told) {
    settled.why_held[kFriction].clear();
    return;
  }
  problem.free.pop_back();
  settled.fit = before;
}

}  // namespace

bool gives_scale(const Unknown& unknown) { return unknown.by_hand <= kGivesScale; }

double judged_against(const Unknown& unknown, const model::Valve& valve) {  // tidy: unit of x
  if (unknown.logarithm) return 1.0;
  return std::string_view(unknown.key) == "plunger.coulomb_friction" ? valve.plunger.preload_n
                                                                     : 0.5;
}

/// Compares sums of neighbouring residuals with chi-square, which holds for independent residuals.
bool more_than_noise(const FitProblem& problem, const SquaresFit& solved) {
  const std::vector<int> blocks = problem.blocks();
  double statistic_ratio = 0.0, sum_ratio = 0.0, count_ratio = 0.0;
  int groups = 0;
  for (std::size_t i = 0; i < blocks.size(); ++i) {
    sum_ratio += solved.left(static_cast<Eigen::Index>(i));
    count_ratio += 1.0;
    if (i + 1 < blocks.size() && blocks[i] == blocks[i + 1]) continue;
    statistic_ratio += sum_ratio * sum_ratio / count_ratio;
    ++groups;
    sum_ratio = count_ratio = 0.0;
  }
  return statistic_ratio > statistics::chi_square_quantile_ratio(kMisfitLevel_frac, groups);
}

Settled settle(FitProblem& problem, double told_ratio, const std::atomic<bool>* stop) {
  Settled settled;
  problem.free.clear();
  // Only the column's response determines the common scale of lengths and forces, and its effect is
  // smaller than the difference of two sound models. Mass and seat, each measured in a minute, give
  // that scale.
  for (std::size_t k = 0; k < problem.unknowns.size(); ++k) {
    const Unknown& unknown = problem.unknowns[k];
    if (unknown.known_ratio > 0.0 && !problem.stated(k)) {
      settled.why_held[k] = "the setup states none: held at zero";
    } else if (k == kFriction) {
      // Force constant, spring and friction can replace each other: friction is freed last, if at
      // all.
      settled.why_held[k] =
          fmt::format("the trace does not tell it beside the others: held at the setup's value; {}",
                      unknown.measure);
    } else if (gives_scale(unknown)) {
      settled.why_held[k] = fmt::format(
          "the trace tells forces, mass and lengths only as ratios: held at the setup's value; {}",
          unknown.measure);
    } else {
      problem.free.push_back(k);
    }
  }
  // A modelled landing far from the recorded one leaves large back-EMF residuals at both. So the
  // first descent rests mainly on the current and uses wide differences.
  Eigen::VectorXd x = approach(problem, stop);
  problem.emf_softness_ratio = 1.0;
  // First hold what noise alone leaves undetermined.
  hold_by(problem, jacobian_of(squares_of(problem, x, 2.0, stop), x), 1.0, told_ratio, x, settled);
  while (true) {
    // Solver steps of 10 us find the solution roughly, fine steps refine it.
    x = solve_squares(squares_of(problem, x, 1.0, stop, kSearchStep_ns)).x;
    settled.fit = solve_squares(squares_of(problem, x, 1.0, stop));
    x = settled.fit.x;
    const double rms_ratio =
        std::sqrt(settled.fit.left.squaredNorm() / static_cast<double>(settled.fit.left.size()));
    if (!hold_by(problem, settled.fit.jacobian, std::max(1.0, rms_ratio), told_ratio, x, settled))
      break;
    // A held value returns to the start's; the others continue from where they are.
  }
  // Where the model explains the trace already, friction stays held: free, it would only replace
  // other values.
  if (more_than_noise(problem, settled.fit)) free_friction(problem, told_ratio, settled, stop);
  return settled;
}

}  // namespace sim::valve
