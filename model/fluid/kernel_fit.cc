// The fit behind fit_kernel (model/fluid/wall_friction.h): the rates are searched for; for given
// rates the weights are a linear problem.
#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <limits>

#include "model/fluid/wall_friction.h"
#include "model/reproducible_math.h"
#include "shared/check.h"

namespace model {
namespace {

constexpr int kMostTerms = 16;
constexpr int kPointsPerDecade = 12;
using Square =
    Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, Eigen::ColMajor, kMostTerms, kMostTerms>;
using Column = Eigen::Matrix<double, Eigen::Dynamic, 1, Eigen::ColMajor, kMostTerms, 1>;

struct Samples {
  std::vector<double> tau_ratio;
  std::vector<double> inverse_ratio;  // 1 / W
};

Samples sample_kernel(double tau_min_ratio) {
  const double span_ratio = log_of(kKernelFitEnd_ratio / tau_min_ratio);
  const int points = 2 + static_cast<int>(span_ratio / log_of(10.0) * kPointsPerDecade);
  Samples samples;
  for (int i = 0; i < points; ++i) {
    const double tau_ratio = tau_min_ratio * exp_of(span_ratio * i / (points - 1));
    samples.tau_ratio.push_back(tau_ratio);
    samples.inverse_ratio.push_back(1.0 / exact_kernel_ratio(tau_ratio));
  }
  return samples;
}

/// Weights for given rates: least squares of sum(m exp(-n tau))/W - 1 with m >= 0. While a weight
/// is negative, the most negative one is dropped and the rest is solved again; with rates in
/// geometric progression few are dropped. The normal equations are well conditioned because the
/// decays are well apart.
double weights_of(const Samples& samples, const Column& rate_ratio, Column& weight_ratio) {
  const Eigen::Index count = rate_ratio.size();
  Square normal = Square::Zero(count, count);
  Column right = Column::Zero(count);
  Column row = Column::Zero(count);
  for (std::size_t i = 0; i < samples.tau_ratio.size(); ++i) {
    for (Eigen::Index k = 0; k < count; ++k)
      row(k) = exp_of(-rate_ratio(k) * samples.tau_ratio[i]) * samples.inverse_ratio[i];
    for (Eigen::Index k = 0; k < count; ++k) {
      right(k) += row(k);
      for (Eigen::Index j = 0; j <= k; ++j) normal(k, j) += row(k) * row(j);
    }
  }
  for (Eigen::Index k = 0; k < count; ++k)
    for (Eigen::Index j = 0; j < k; ++j) normal(j, k) = normal(k, j);
  std::vector<Eigen::Index> free;
  free.reserve(static_cast<std::size_t>(count));
  for (Eigen::Index k = 0; k < count; ++k) free.push_back(k);
  weight_ratio = Column::Zero(count);
  while (!free.empty()) {
    const auto size = static_cast<Eigen::Index>(free.size());
    Square part = Square::Zero(size, size);
    Column goal = Column::Zero(size);
    for (Eigen::Index a = 0; a < size; ++a) {
      goal(a) = right(free[static_cast<std::size_t>(a)]);
      for (Eigen::Index b = 0; b < size; ++b)
        part(a, b) = normal(free[static_cast<std::size_t>(a)], free[static_cast<std::size_t>(b)]);
    }
    const Column solved = part.ldlt().solve(goal);
    Eigen::Index lowest = 0;
    for (Eigen::Index a = 1; a < size; ++a)
      if (solved(a) < solved(lowest)) lowest = a;
    if (solved(lowest) > 0.0) {
      for (Eigen::Index a = 0; a < size; ++a)
        weight_ratio(free[static_cast<std::size_t>(a)]) = solved(a);
      break;
    }
    free.erase(free.begin() + lowest);
  }
  double squares_ratio = 0.0;
  for (std::size_t i = 0; i < samples.tau_ratio.size(); ++i) {
    double sum_ratio = 0.0;
    for (Eigen::Index k = 0; k < count; ++k)
      sum_ratio += weight_ratio(k) * exp_of(-rate_ratio(k) * samples.tau_ratio[i]);
    const double error_ratio = sum_ratio * samples.inverse_ratio[i] - 1.0;
    squares_ratio += error_ratio * error_ratio;
  }
  return squares_ratio / static_cast<double>(samples.tau_ratio.size());
}

Column rates_of(int count, double first_log_ratio, double last_log_ratio) {
  Column rates = Column::Zero(count);
  for (int k = 0; k < count; ++k) {
    const double place_ratio = count == 1 ? 0.0 : static_cast<double>(k) / (count - 1);
    rates(k) = exp_of(first_log_ratio + place_ratio * (last_log_ratio - first_log_ratio));
  }
  return rates;
}

}  // namespace

std::vector<KernelTerm> fit_kernel(int count, double tau_min_ratio) {
  EXPECTS(count >= 1 && count <= kMostTerms);
  EXPECTS(tau_min_ratio > 0.0 && tau_min_ratio < kKernelFitEnd_ratio);
  const Samples samples = sample_kernel(tau_min_ratio);
  // A pattern search over the logarithms of the first and last rate: the valley is smooth and
  // single.
  double first_log_ratio = log_of(kSlowestKernelRate_ratio);
  double last_log_ratio = std::max(log_of(0.5 / tau_min_ratio), first_log_ratio + 0.5 * count);
  double reach_ratio = 0.8;
  Column weights;
  double best_ratio =
      weights_of(samples, rates_of(count, first_log_ratio, last_log_ratio), weights);
  while (reach_ratio > 0.01) {
    bool better = false;
    for (int way = 0; way < 4; ++way) {
      const double step_ratio = way % 2 == 0 ? reach_ratio : -reach_ratio;
      const double first_try_ratio = first_log_ratio + (way < 2 ? 0.25 * step_ratio : 0.0);
      const double last_try_ratio = last_log_ratio + (way < 2 ? 0.0 : step_ratio);
      if (last_try_ratio < first_try_ratio + 0.3 * (count - 1)) continue;
      const double found_ratio =
          weights_of(samples, rates_of(count, first_try_ratio, last_try_ratio), weights);
      if (found_ratio < best_ratio) {
        best_ratio = found_ratio;
        first_log_ratio = first_try_ratio;
        last_log_ratio = last_try_ratio;
        better = true;
        break;
      }
    }
    if (!better) reach_ratio *= 0.5;
  }
  const Column rates = rates_of(count, first_log_ratio, last_log_ratio);
  weights_of(samples, rates, weights);
  std::vector<KernelTerm> terms;
  for (Eigen::Index k = 0; k < rates.size(); ++k)
    if (weights(k) > 0.0) terms.push_back({.weight_ratio = weights(k), .rate_ratio = rates(k)});
  ENSURES(!terms.empty());
  return terms;
}

}  // namespace model
