#include "sim/study/check/paired_shift.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "shared/check.h"
#include "sim/measure/catalog.h"
#include "sim/statistics/quantiles.h"

namespace sim::check {
namespace {

constexpr double kMiss_ratio = 0.01;
constexpr int kMostNeeded = 100'000;

/// Differences of one metric over the runs.
struct Seen {
  std::vector<double> d_si;  // tidy: unit is the metric's
  bool half_known = false;   // in some run one build gave a number and the other none
  double mean_si = statistics::kNone_ratio, sd_si = 0.0;  // tidy: unit is the metric's

  int count() const { return static_cast<int>(d_si.size()); }
  double half_width_si(double miss_ratio) const {
    if (count() < 2) return std::numeric_limits<double>::infinity();
    return statistics::student_quantile_ratio(1.0 - 0.5 * miss_ratio, count() - 1) * sd_si /
           std::sqrt(static_cast<double>(count()));
  }
  /// |mean| over its standard error; infinite if there is a shift without scatter.
  double t_ratio() const {
    if (count() < 2 || mean_si == 0.0) return 0.0;
    if (sd_si == 0.0) return std::numeric_limits<double>::infinity();
    return std::abs(mean_si) / (sd_si / std::sqrt(static_cast<double>(count())));
  }
};

Seen seen_of(std::span<const std::vector<double>> old_runs_si,
             std::span<const std::vector<double>> new_runs_si, std::size_t metric) {
  Seen seen;
  for (std::size_t run = 0; run < old_runs_si.size(); ++run) {
    const double old_si = old_runs_si[run][metric];  // tidy: unit is the metric's
    const double new_si = new_runs_si[run][metric];  // tidy: unit is the metric's
    if (std::isnan(old_si) != std::isnan(new_si)) seen.half_known = true;
    if (!std::isnan(old_si) && !std::isnan(new_si)) seen.d_si.push_back(new_si - old_si);
  }
  if (seen.d_si.empty()) return seen;
  const double n_ratio = static_cast<double>(seen.count());
  seen.mean_si = std::accumulate(seen.d_si.begin(), seen.d_si.end(), 0.0) / n_ratio;
  double squares_si = 0.0;  // tidy: unit is the metric's, squared
  for (const double d_si : seen.d_si) squares_si += (d_si - seen.mean_si) * (d_si - seen.mean_si);
  if (seen.count() > 1) seen.sd_si = std::sqrt(squares_si / (n_ratio - 1.0));
  return seen;
}

/// By Holm's procedure: which means are not 0, with a chance of 1 % at most for any error.
std::vector<bool> told_apart(const std::vector<Seen>& all) {
  std::vector<std::size_t> order(all.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return all[a].t_ratio() > all[b].t_ratio();
  });
  std::vector<bool> apart(all.size(), false);
  for (std::size_t k = 0; k < order.size(); ++k) {
    const Seen& seen = all[order[k]];
    const double miss_ratio = kMiss_ratio / static_cast<double>(all.size() - k);
    if (!(std::abs(seen.mean_si) > seen.half_width_si(miss_ratio))) break;
    apart[order[k]] = true;
  }
  return apart;
}

/// Number of runs after which the interval would be inside the margin, or narrower than the margin,
/// if they scatter like these; 0: not known.
int runs_needed(const Seen& seen, double margin_si) {
  if (seen.count() < 2 || margin_si <= 0.0) return 0;
  for (int n = seen.count() + 1; n < kMostNeeded; n += 1 + n / 50) {
    const double half_si =
        statistics::student_quantile_ratio(1.0 - 0.5 * kMiss_ratio, std::min(n - 1, 1000)) *
        seen.sd_si / std::sqrt(static_cast<double>(n));
    if (std::abs(seen.mean_si) + half_si < margin_si || half_si < 0.5 * margin_si) return n;
  }
  return 0;
}

double mean_of_runs_si(std::span<const std::vector<double>> runs_si, std::size_t metric) {
  double sum_si = 0.0;  // tidy: unit is the metric's
  for (const std::vector<double>& run : runs_si) sum_si += run[metric];
  return sum_si / static_cast<double>(runs_si.size());
}

}  // namespace

std::vector<MetricShift> paired_shifts(std::span<const std::vector<double>> old_runs_si,
                                       std::span<const std::vector<double>> new_runs_si,
                                       std::span<const double> margins_si) {
  EXPECTS(old_runs_si.size() == new_runs_si.size());
  EXPECTS(margins_si.size() == judged_metrics().size());
  std::vector<Seen> all;
  for (std::size_t metric = 0; metric < margins_si.size(); ++metric)
    all.push_back(seen_of(old_runs_si, new_runs_si, metric));
  const std::vector<bool> apart = told_apart(all);
  std::vector<MetricShift> shifts;
  for (std::size_t metric = 0; metric < all.size(); ++metric) {
    const JudgedMetric& judged = judged_metrics()[metric];
    const Seen& seen = all[metric];
    MetricShift shift{.metric = std::string(judged.name),
                      .unit = std::string(unit_of_metric(judged.name)),
                      .old_si = mean_of_runs_si(old_runs_si, metric),
                      .new_si = mean_of_runs_si(new_runs_si, metric),
                      .mean_si = seen.mean_si};
    shift.margin_si = margins_si[metric];
    const double half_si = seen.half_width_si(kMiss_ratio);
    shift.low_si = seen.mean_si - half_si;
    shift.high_si = seen.mean_si + half_si;
    const bool inside =
        std::max(std::abs(shift.low_si), std::abs(shift.high_si)) <= shift.margin_si;
    const bool beyond = apart[metric] && std::abs(seen.mean_si) > shift.margin_si;
    // For a bias near zero any shift beyond the margin is a change, never an improvement.
    const bool better = (judged.better == Better::kMore && seen.mean_si > 0.0) ||
                        (judged.better == Better::kLess && seen.mean_si < 0.0);
    if (seen.half_known) {
      shift.verdict = ShiftVerdict::kUnclear;
    } else if (beyond) {
      shift.verdict = better ? ShiftVerdict::kBetter : ShiftVerdict::kShifted;
    } else if (inside || seen.d_si.empty()) {
      shift.verdict = ShiftVerdict::kWithin;  // no such figure, or the interval is inside
    } else {
      shift.verdict = ShiftVerdict::kUnclear;
      shift.needed = runs_needed(seen, shift.margin_si);
    }
    shifts.push_back(std::move(shift));
  }
  return shifts;
}

const char* shift_word(ShiftVerdict verdict) {
  switch (verdict) {
    case ShiftVerdict::kWithin: return "within";
    case ShiftVerdict::kBetter: return "better";
    case ShiftVerdict::kShifted: return "shifted";
    case ShiftVerdict::kUnclear: break;
  }
  return "unclear";
}

}  // namespace sim::check
