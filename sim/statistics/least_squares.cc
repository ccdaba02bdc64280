#include "sim/statistics/least_squares.h"

#include <algorithm>
#include <cmath>

#include "sim/statistics/quantiles.h"
namespace sim::statistics {
namespace {

constexpr double kLeastPivot_ratio = 1e-10;

}  // namespace

LeastSquares::LeastSquares(int unknowns)
    : unknowns_(unknowns),
      normal_(Eigen::MatrixXd::Zero(unknowns, unknowns)),
      right_(Eigen::VectorXd::Zero(unknowns)),
      beta_(Eigen::VectorXd::Zero(unknowns)),
      covariance_(Eigen::MatrixXd::Zero(unknowns, unknowns)) {}

void LeastSquares::take(std::span<const DesignEntry> row, double observed,  // tidy: unit caller's
                        int cluster) {
  const auto index = static_cast<std::size_t>(cluster);
  while (groups_.size() <= index) {
    groups_.emplace_back();
    groups_.back().row_sum = Eigen::VectorXd::Zero(unknowns_);
  }
  Cluster& group = groups_[index];
  group.count += 1.0;
  group.observed_sum += observed;
  for (const DesignEntry& a : row) {
    group.row_sum(a.unknown) += a.factor;
    right_(a.unknown) += a.factor * observed;
    for (const DesignEntry& b : row) normal_(a.unknown, b.unknown) += a.factor * b.factor;
  }
  observations_.push_back({entries_.size(), row.size(), observed, cluster});
  entries_.insert(entries_.end(), row.begin(), row.end());
}

/// beta and the inverse of the normal equations, with the weights that the clusters' k give.
bool LeastSquares::invert() {
  Eigen::MatrixXd normal = normal_;
  Eigen::VectorXd right = right_;
  for (const Cluster& group : groups_) {
    if (group.count == 0.0 || group.keep_ratio == 0.0) continue;
    const double share_ratio = group.keep_ratio / group.count;
    normal -= share_ratio * group.row_sum * group.row_sum.transpose();
    right -= share_ratio * group.observed_sum * group.row_sum;
  }
  // Unknowns of different size (metres, metres per second) are brought to one scale first.
  Eigen::VectorXd scale(unknowns_);
  for (int k = 0; k < unknowns_; ++k) {
    if (!(normal(k, k) > 0.0)) return false;
    scale(k) = 1.0 / std::sqrt(normal(k, k));
  }
  const Eigen::MatrixXd scaled = scale.asDiagonal() * normal * scale.asDiagonal();
  const Eigen::LDLT<Eigen::MatrixXd> factors(scaled);
  const Eigen::VectorXd pivots = factors.vectorD();
  for (int k = 0; k < unknowns_; ++k)
    if (!(pivots(k) > kLeastPivot_ratio * pivots.maxCoeff())) return false;
  const Eigen::MatrixXd identity = Eigen::MatrixXd::Identity(unknowns_, unknowns_);
  inverse_ = scale.asDiagonal() * factors.solve(identity) * scale.asDiagonal();
  beta_ = inverse_ * right;
  return true;
}

/// Residuals of the present beta, summed by cluster, with each cluster's score.
void LeastSquares::sum_residuals() {
  for (Cluster& group : groups_) {
    group.residual_sum = 0.0;
    group.score = Eigen::VectorXd::Zero(unknowns_);
  }
  double squares = 0.0;  // tidy: unit the observation's squared
  for (const Observation& one : observations_) {
    double left = one.observed;  // tidy: unit the observation's
    for (std::size_t k = one.first; k < one.first + one.count; ++k)
      left -= entries_[k].factor * beta_(entries_[k].unknown);
    Cluster& group = groups_[static_cast<std::size_t>(one.cluster)];
    group.residual_sum += left;
    for (std::size_t k = one.first; k < one.first + one.count; ++k)
      group.score(entries_[k].unknown) += entries_[k].factor * left;
    squares += left * left;
  }
  residual_rms_ = std::sqrt(squares / static_cast<double>(observations_.size()));
  for (Cluster& group : groups_)
    if (group.count > 0.0)
      group.score -= group.keep_ratio / group.count * group.residual_sum * group.row_sum;
}

/// Spread between and within clusters, by moments of the residuals.
void LeastSquares::find_spreads() {
  double total = 0.0, between = 0.0, inverse_counts = 0.0;  // tidy: unit observations, squared
  int present = 0;
  for (const Cluster& group : groups_) {
    if (group.count == 0.0) continue;
    const double mean = group.residual_sum / group.count;  // tidy: unit the observation's
    total += group.count;
    between += mean * mean;
    inverse_counts += 1.0 / group.count;
    ++present;
  }
  const double clusters_ratio = static_cast<double>(present);
  const double all = residual_rms_ * residual_rms_ * total;  // tidy: unit squared
  double within_clusters = 0.0;                              // tidy: unit squared
  for (const Cluster& group : groups_)
    if (group.count > 0.0) within_clusters += group.residual_sum * group.residual_sum / group.count;
  const double within = std::max(0.0, all - within_clusters) /  // tidy: unit squared
                        std::max(1.0, total - clusters_ratio);
  const double offsets =  // tidy: unit squared
      std::max(0.0, between / clusters_ratio - within * inverse_counts / clusters_ratio);
  for (Cluster& group : groups_) {
    if (group.count == 0.0 || within + group.count * offsets == 0.0) continue;
    const double q_ratio = 1.0 - std::sqrt(within / (within + group.count * offsets));
    group.keep_ratio = 2.0 * q_ratio - q_ratio * q_ratio;
  }
}

bool LeastSquares::solve() {
  if (!invert()) return false;
  sum_residuals();
  find_spreads();
  if (!invert()) return false;
  sum_residuals();
  clusters_ = static_cast<int>(std::count_if(groups_.begin(), groups_.end(),
                                             [](const Cluster& g) { return g.count > 0.0; }));
  if (clusters_ <= unknowns_) return false;
  Eigen::MatrixXd meat = Eigen::MatrixXd::Zero(unknowns_, unknowns_);
  for (const Cluster& group : groups_)
    if (group.count > 0.0) meat += group.score * group.score.transpose();
  const double small_ratio =
      static_cast<double>(clusters_) / static_cast<double>(clusters_ - unknowns_);
  covariance_ = inverse_ * meat * inverse_ * small_ratio;
  return true;
}

double LeastSquares::half_width(int unknown) const {  // tidy: unit the unknown's
  return kTwoSided95_ratio * std::sqrt(std::max(0.0, covariance_(unknown, unknown)));
}

double LeastSquares::correlation_ratio(int one, int other) const {
  return covariance_(one, other) / std::sqrt(covariance_(one, one) * covariance_(other, other));
}

}  // namespace sim::statistics
