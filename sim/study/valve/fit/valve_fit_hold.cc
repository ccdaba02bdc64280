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
constexpr double kFar_ratio = 1.2;  // logarithm
// Starts: logarithms of the force constant, and of the preload beyond what follows from it.
constexpr std::pair<double, double> kStarts_ratio[] = {
    {0.0, 0.0}, {-0.12, 0.0}, {0.12, 0.0}, {0.0, -0.25}, {0.0, 0.25}, {-0.24, 0.0}, {0.24, 0.0}};
constexpr double kFrictions_n[] = {0.25, 0.5, 1.0, 2.0, 4.0};
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
  double width_ratio = 0.0;            // of it alone, in judged units
  std::string partners;
};

std::string sentence(const FitProblem& problem, const Hold& hold) {
  const Unknown& unknown = problem.unknowns[problem.free[hold.column]];
  std::string why = hold.partners.empty()
                        ? std::string("the trace does not tell it")
                        : fmt::format("the trace tells only a combination with {}", hold.partners);
  if (hold.width_ratio < 10.0) why += fmt::format(" (alone to {:.0f} %)", 100.0 * hold.width_ratio);
  why += std::string(": ") + problem.held_words(problem.free[hold.column]);
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
  hold.width_ratio = widths(static_cast<Eigen::Index>(hold.column));
  hold.partners = partners;
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
    // The start's value is a person's statement. Where the trace contradicts it, the value stays
    // where the trace puts it.
    const std::size_t unknown = problem.free[hold.column];
    const double off_ratio = std::abs(x(static_cast<Eigen::Index>(hold.column))) /
                             judged_against(problem.unknowns[unknown], valve);
    if (off_ratio > hold.width_ratio) {
      model::Valve here = valve;
      problem.hold_at(unknown, problem.unknowns[unknown].in(here));
    }
    settled.why_held[unknown] = sentence(problem, hold);
    problem.free.erase(problem.free.begin() + static_cast<std::ptrdiff_t>(hold.column));
    jacobian = without_column(jacobian, hold.column);
    x = without(x, hold.column);
  }
}

/// From `x` on with the back-EMF softened, less and less.
SquaresFit come_near(FitProblem& problem, Eigen::VectorXd x, const std::atomic<bool>* stop) {
  SquaresFit fit;
  for (const double far_ratio : {20.0, 5.0}) {
    problem.emf_softness_ratio = far_ratio;
    SquaresProblem far = squares_of(problem, x, kWideSteps_ratio, stop, kFarStep_ns);
    far.close_ratio = 1e-3;
    fit = solve_squares(far);
    x = fit.x;
  }
  problem.emf_softness_ratio = 1.0;
  return fit;
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
    const SquaresFit fit = come_near(problem, x, stop);
    const double square_ratio = fit.left.squaredNorm();
    if (square_ratio >= least_ratio) continue;
    least_ratio = square_ratio;
    best = fit.x;
    if (square_ratio < kGoodStart_ratio * static_cast<double>(fit.left.size())) break;
  }
  return best;
}

/// x with what has run to the end of its range taken half way back: no slope leads back from there.
Eigen::VectorXd nearer(const FitProblem& problem, Eigen::VectorXd x) {
  const auto unknowns = static_cast<Eigen::Index>(problem.free.size());
  x.head(unknowns) = x.head(unknowns).cwiseMax(-kFar_ratio).cwiseMin(kFar_ratio);
  return x;
}

/// Whether friction takes part: without it the model leaves more than noise, with it less by more
/// than chance, it does not end at zero and the trace tells it beside the others. x is the start
/// without friction and becomes that of what is free. Asked before anything is held: a model that
/// lacks the friction leaves so much over that no other value would count as told.
bool free_friction(FitProblem& problem, double told_ratio, Eigen::VectorXd& x,
                   const std::atomic<bool>* stop) {
  const SquaresFit without = solve_squares(squares_of(problem, x, 1.0, stop, kSearchStep_ns));
  x = without.x;
  if (!more_than_noise(problem, without)) return false;
  model::Valve start = problem.valve_at(x);
  const double held_n = problem.unknowns[kFriction].in(start);
  // If the valve rubs, the fit without friction has moved the other values far off. They come back
  // while friction grows in steps.
  SquaresFit best = without;
  double best_n = held_n;
  for (const double friction_n : kFrictions_n) {
    if (friction_n <= held_n) continue;
    problem.hold_at(kFriction, friction_n);
    const SquaresFit fit =
        solve_squares(squares_of(problem, nearer(problem, best.x), 1.0, stop, kSearchStep_ns));
    if (fit.left.squaredNorm() >= best.left.squaredNorm()) break;
    best = fit;
    best_n = friction_n;
  }
  problem.hold_at(kFriction, held_n);
  if (best_n == held_n) return false;
  const auto place = static_cast<Eigen::Index>(problem.free.size());
  problem.free.push_back(kFriction);
  Eigen::VectorXd near(problem.size());
  const Eigen::VectorXd others = nearer(problem, best.x);
  near << others.head(place), best_n - held_n, others.tail(others.size() - place);
  const SquaresFit with = solve_squares(squares_of(problem, near, 1.0, stop, kSearchStep_ns));
  const double square_ratio = with.left.squaredNorm();
  const double mean_ratio = square_ratio / static_cast<double>(with.left.size());
  const model::Valve valve = problem.valve_at(with.x);
  const Hold hold = next_hold(
      problem, information_of(problem, with.jacobian, valve, std::max(1.0, std::sqrt(mean_ratio))),
      told_ratio);
  const bool told = hold.column >= problem.free.size() || problem.free[hold.column] != kFriction;
  if (told && with.solved && valve.plunger.coulomb_friction_n > 0.0 &&
      square_ratio + kMoreThanChance_ratio * mean_ratio < without.left.squaredNorm()) {
    x = with.x;
    return true;
  }
  problem.free.pop_back();
  return false;
}

/// The fit at the lowest place of its valley: the search stops where the sum of squares hardly
/// falls, which in a flat valley is up to half a standard error away.
void refine(FitProblem& problem, SquaresFit& fit, const std::atomic<bool>* stop) {
  const SquaresProblem squares = squares_of(problem, fit.x, 1.0, stop);
  const int evaluations = fit.evaluations;
  fit = judged_squares(squares, lowest_near(squares, fit));
  fit.evaluations = evaluations;
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
  // Where the model explains the trace already, friction stays held: free, it would only replace
  // other values.
  if (free_friction(problem, told_ratio, x, stop)) settled.why_held[kFriction].clear();
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
    // A held value returns to the start's unless the trace contradicts it; the others continue from
    // where they are.
  }
  if (settled.fit.solved) refine(problem, settled.fit, stop);
  return settled;
}

}  // namespace sim::valve
