#include "sim/study/budget/budget_figures.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "sim/statistics/spread.h"

namespace sim::budget {
namespace {

/// A variance below this is rounding of places some hundred metres down the row.
constexpr double kNoVariance_m2 = 1e-22;

std::vector<double> errors_m(const std::vector<BudgetSeed>& seeds) {
  std::vector<double> errors;
  errors.reserve(seeds.size());
  for (const BudgetSeed& seed : seeds) errors.push_back(seed.placement_error_m);
  return errors;
}

double share_ratio(double part_m2, double whole_m2) {
  return whole_m2 > kNoVariance_m2 ? part_m2 / whole_m2 : statistics::kNone_ratio;
}

void add_rows(const std::vector<double>& part_m, const std::vector<BudgetSeed>& seeds,
              PartFigures& figures) {
  std::map<int, std::vector<double>> rows_m;
  for (std::size_t k = 0; k < seeds.size(); ++k) rows_m[seeds[k].row].push_back(part_m[k]);
  std::vector<double> means_m;
  double squares_m2 = 0.0;
  for (const auto& [row, values_m] : rows_m) {
    means_m.push_back(statistics::mean_of(values_m));
    for (const double value_m : values_m)
      squares_m2 += (value_m - means_m.back()) * (value_m - means_m.back());
  }
  figures.sd_between_rows_m = statistics::sd_of(means_m);
  if (seeds.size() > rows_m.size())
    figures.sd_within_rows_m =
        std::sqrt(squares_m2 / static_cast<double>(seeds.size() - rows_m.size()));
}

struct Remainder {
  double ratio = statistics::kNone_ratio;
  double mean_m = statistics::kNone_ratio;
};

Remainder remainder_of(const std::vector<std::vector<double>>& single_m,
                       const std::vector<double>& left_m, const std::vector<double>& whole_m) {
  std::vector<double> rest_m = whole_m;
  for (std::size_t k = 0; k < rest_m.size(); ++k) {
    rest_m[k] -= left_m[k];
    for (const std::vector<double>& part_m : single_m) rest_m[k] -= part_m[k];
  }
  const double whole_m2 = covariance_m2(whole_m, whole_m);
  return {share_ratio(covariance_m2(rest_m, rest_m), whole_m2), statistics::mean_of(rest_m)};
}

}  // namespace

double covariance_m2(const std::vector<double>& a_m, const std::vector<double>& b_m) {
  if (a_m.size() < 2) return statistics::kNone_ratio;
  const double a_mean_m = statistics::mean_of(a_m);
  const double b_mean_m = statistics::mean_of(b_m);
  double sum_m2 = 0.0;
  for (std::size_t k = 0; k < a_m.size(); ++k) sum_m2 += (a_m[k] - a_mean_m) * (b_m[k] - b_mean_m);
  return sum_m2 / static_cast<double>(a_m.size() - 1);
}

PartFigures part_figures(const std::vector<double>& part_m, const std::vector<BudgetSeed>& seeds) {
  PartFigures figures;
  if (seeds.empty()) return figures;
  const std::vector<double> whole_m = errors_m(seeds);
  const statistics::Spread spread = statistics::spread_of(part_m);
  figures.mean_m = spread.mean_m;
  figures.sd_m = spread.sd_m;
  figures.abs_p95_m = spread.abs_p95_m;
  add_rows(part_m, seeds, figures);
  figures.variance_share_ratio =
      share_ratio(covariance_m2(part_m, whole_m), covariance_m2(whole_m, whole_m));
  double both_m2 = 0.0, whole_m2 = 0.0;
  for (std::size_t k = 0; k < part_m.size(); ++k) {
    both_m2 += part_m[k] * whole_m[k];
    whole_m2 += whole_m[k] * whole_m[k];
  }
  figures.error_share_ratio = share_ratio(both_m2, whole_m2);
  return figures;
}

double Interaction::larger_ratio() const {
  if (std::isnan(removed_ratio)) return present_ratio;
  return std::isnan(present_ratio) ? removed_ratio : std::max(removed_ratio, present_ratio);
}

Interaction interaction_of(const OrderAverage& average, const std::vector<BudgetSeed>& seeds) {
  const std::vector<double> whole_m = errors_m(seeds);
  const Remainder removed = remainder_of(average.removed_m, average.left_m, whole_m);
  const Remainder present = remainder_of(average.present_m, average.left_m, whole_m);
  return {.removed_ratio = removed.ratio,
          .present_ratio = present.ratio,
          .removed_mean_m = removed.mean_m,
          .present_mean_m = present.mean_m};
}

double order_error_ratio(const OrderAverage& average, std::size_t effect,
                         const std::vector<BudgetSeed>& seeds) {
  const std::vector<double> whole_m = errors_m(seeds);
  const double whole_m2 = covariance_m2(whole_m, whole_m);
  std::vector<double> shares_ratio;
  for (const auto& pair_m : average.by_pair_m)
    shares_ratio.push_back(share_ratio(covariance_m2(pair_m[effect], whole_m), whole_m2));
  return statistics::sd_of(shares_ratio) / std::sqrt(static_cast<double>(shares_ratio.size()));
}

}  // namespace sim::budget
