#include "sim/statistics/running.h"

#include <algorithm>
#include <cmath>

namespace sim::statistics {

void Moments::take(double value) {
  ++count_;
  const double apart = value - mean_;
  mean_ += apart / static_cast<double>(count_);
  squares_ += apart * (value - mean_);
}

void Moments::take(const Moments& other) {
  if (other.count_ == 0) return;
  const auto own = static_cast<double>(count_), more = static_cast<double>(other.count_);
  const double apart = other.mean_ - mean_;
  count_ += other.count_;
  mean_ += apart * more / (own + more);
  squares_ += other.squares_ + apart * apart * own * more / (own + more);
}

double Moments::sd() const {
  return count_ < 2 ? kNone_ratio : std::sqrt(squares_ / static_cast<double>(count_ - 1));
}

void CountedSpread::take(double value) {
  moments_.take(value);
  if (!(std::fabs(value) <= most_)) most_ = std::fabs(value);
  const auto number =
      static_cast<std::int64_t>(std::floor(std::clamp(value, -reach_, reach_) / cell_));
  if (counts_.empty()) first_ = number;
  if (number < first_) {
    counts_.insert(counts_.begin(), static_cast<std::size_t>(first_ - number), 0);
    first_ = number;
  }
  const auto place = static_cast<std::size_t>(number - first_);
  if (place >= counts_.size()) counts_.resize(place + 1, 0);
  ++counts_[place];
}

void CountedSpread::take(const CountedSpread& other) {
  moments_.take(other.moments_);
  if (other.counts_.empty()) return;
  if (!(other.most_ <= most_)) most_ = other.most_;
  const auto end = [](const CountedSpread& one) {
    return one.first_ + static_cast<std::int64_t>(one.counts_.size());
  };
  const std::int64_t from = counts_.empty() ? other.first_ : std::min(first_, other.first_);
  const std::int64_t to = counts_.empty() ? end(other) : std::max(end(*this), end(other));
  std::vector<long long> sum(static_cast<std::size_t>(to - from), 0);
  for (const CountedSpread* one : {static_cast<const CountedSpread*>(this), &other})
    for (std::size_t k = 0; k < one->counts_.size(); ++k)
      sum[static_cast<std::size_t>(one->first_ - from) + k] += one->counts_[k];
  counts_ = std::move(sum);
  first_ = from;
}

std::vector<CountedSpread::Cell> CountedSpread::cells() const {
  std::vector<Cell> cells;
  for (std::size_t k = 0; k < counts_.size(); ++k)
    if (counts_[k] > 0)
      cells.push_back(
          {cell_ * (static_cast<double>(first_ + static_cast<std::int64_t>(k)) + 0.5), counts_[k]});
  return cells;
}

// The quantile between the values at two places of the sorted list, as quantile_of() has it.
double CountedSpread::quantile_in(const std::vector<Cell>& cells, long long count,
                                  double share_ratio) {
  if (cells.empty()) return kNone_ratio;
  const double place_ratio = static_cast<double>(count - 1) * share_ratio;
  const auto below = static_cast<long long>(place_ratio);
  const auto value_at = [&](long long place) {
    long long behind = 0;
    for (const Cell& cell : cells)
      if ((behind += cell.count) > place) return cell.middle;
    return cells.back().middle;
  };
  const double low = value_at(below);
  return low + (place_ratio - static_cast<double>(below)) * (value_at(below + 1) - low);
}

double CountedSpread::quantile(double share_ratio) const {
  return quantile_in(cells(), moments_.count(), share_ratio);
}

Spread CountedSpread::spread() const {
  std::vector<Cell> sorted = cells();
  Spread spread;
  spread.mean_m = moments_.mean();
  spread.sd_m = moments_.sd();
  spread.p05_m = quantile_in(sorted, moments_.count(), 0.05);
  spread.p50_m = quantile_in(sorted, moments_.count(), 0.50);
  spread.p95_m = quantile_in(sorted, moments_.count(), 0.95);
  for (Cell& cell : sorted) cell.middle = std::fabs(cell.middle);
  std::sort(sorted.begin(), sorted.end(),
            [](const Cell& a, const Cell& b) { return a.middle < b.middle; });
  spread.abs_p95_m = quantile_in(sorted, moments_.count(), 0.95);
  spread.max_abs_m = most_;
  return spread;
}

}  // namespace sim::statistics
