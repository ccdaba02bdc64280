#include "sim/study/check/judged_metrics.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "shared/check.h"
#include "sim/measure/catalog.h"
#include "sim/scenario/metric_names.h"

namespace sim::check {
namespace {

constexpr JudgedMetric kJudged[] = {
    {"within_10mm_sensed", Better::kMore, 0.01},
    {"within_25mm_sensed", Better::kMore, 0.01},
    {"placement_error_mean", Better::kNearZero, 0.3e-3},
    {"placement_error_abs_p95", Better::kLess, 0.5e-3},
    {"dose_within_10_percent_sensed", Better::kMore, 0.01},
    {"length_within_10mm_sensed", Better::kMore, 0.01},
    {"gap_ratio", Better::kLess, 0.005},
    {"secondary_ratio", Better::kLess, 0.005},
    {"no_band", Better::kLess, 0.0},
    {"stray_bands", Better::kLess, 0.0},
};

}  // namespace

std::span<const JudgedMetric> judged_metrics() { return kJudged; }

double worsening_si(Better better, double value_si, double before_si) {
  if (std::isnan(before_si)) return 0.0;
  if (std::isnan(value_si)) return std::numeric_limits<double>::infinity();
  switch (better) {
    case Better::kMore: return before_si - value_si;
    case Better::kLess: return value_si - before_si;
    case Better::kNearZero: return std::abs(value_si) - std::abs(before_si);
  }
  ENSURES(false);
  return 0.0;
}

std::vector<double> margins_of_si(const Suite& suite) {
  std::vector<double> margins_si;
  for (const JudgedMetric& metric : kJudged) {
    margins_si.push_back(metric.margin_si);
    for (const auto& [name, margin_si] : suite.margins)
      if (name == metric.name) margins_si.back() = margin_si;
  }
  return margins_si;
}

std::vector<double> judged_values_si(const measure::Summary& summary) {
  std::vector<double> values_si;
  for (const JudgedMetric& judged : kJudged)
    values_si.push_back(measure::find_reading(judged.name)(summary));
  return values_si;
}

std::string_view unit_of_metric(std::string_view metric) {
  const scenario::MetricName* found = scenario::find_metric_name(metric);
  return found == nullptr ? std::string_view{} : found->unit;
}

}  // namespace sim::check
