#include "sim/measure/judge.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <stdexcept>

#include "sim/measure/catalog.h"
#include "sim/measure/temporal.h"
#include "sim/scenario/metric_names.h"
#include "sim/scenario/temporal_rule.h"
#include "sim/statistics/lower_bound.h"

namespace sim::measure {
namespace {

/// Counts of a share over its own denominator. The bound takes rows as clusters where it is known
/// by row, else it is Wilson's of the pool.
void add_share(RequirementResult& result, std::string_view metric, const Summary& summary) {
  constexpr std::string_view kWithin[] = {"within_10mm", "within_25mm", "within_half_band"};
  const Figures& all = summary.all;
  const bool sensed = metric.ends_with("_sensed");
  const bool by_tolerance =
      metric.starts_with("within_") && (sensed || metric.ends_with("_placed"));
  if (by_tolerance)
    result.total = sensed ? all.seeds.sensed : all.seeds.placed;
  else if (sensed)
    result.total = all.own_bands_sensed;
  if (result.total <= 0 || !std::isfinite(result.value)) return;
  result.good = std::llround(result.value * static_cast<double>(result.total));
  const long long good[] = {result.good}, total[] = {result.total};
  result.lower95_ratio = statistics::lower95_ratio(good, total);
  for (std::size_t k = 0; k < std::size(kWithin); ++k)
    if (sensed && metric.starts_with(kWithin[k]))
      result.lower95_ratio = all.within[k].lower95_ratio;
}

}  // namespace

RequirementResult judged_metric(const scenario::Requirement& requirement, const Summary& summary,
                                const Witness& worst) {
  const scenario::MetricName* metric = scenario::find_metric_name(requirement.metric);
  if (metric == nullptr) throw std::invalid_argument("no metric named " + requirement.metric);
  const bool at_most = requirement.sense == scenario::BoundSense::kAtMost;
  RequirementResult result;
  result.name = requirement.metric + (at_most ? " at most" : " at least");
  result.unit = std::string(metric->unit);
  result.limit = requirement.bound;
  result.value = find_reading(metric->name)(summary);
  result.margin = at_most ? result.limit - result.value : result.value - result.limit;
  // A comparison with not-a-number is false: missing data is never a pass.
  result.holds = at_most ? result.value <= result.limit : result.value >= result.limit;
  add_share(result, metric->name, summary);
  result.worst = worst;
  result.place = requirement.place;
  return result;
}

RequirementResult judged_in_time(const scenario::Requirement& requirement,
                                 std::span<const RowRecord> rows) {
  const TemporalResult found = judge_in_time(requirement, rows);
  RequirementResult result;
  result.name = requirement.metric;
  result.unit = scenario::unit_of(requirement);
  const scenario::TemporalRule& rule = requirement.rule;
  const double asked_si = rule.form != scenario::TemporalForm::kEventually ? requirement.bound
                          : rule.within_seeds > 0                          ? rule.within_seeds
                                                  : rule.within_s;  // tidy: unit the requirement's
  result.limit = found.fired ? found.limit_si : asked_si;
  result.value = found.value_si;
  result.margin = found.margin_si;
  result.holds = found.fired && found.holds;
  result.seen = found.fired;
  if (found.fired) result.worst = witness_at(found.row, found.at_s, rows);
  result.place = requirement.place;
  return result;
}

Verdict verdict_of(const Summary& summary) {
  if (summary.all.lag_seeds != 0) return Verdict::kWrongSeed;
  if (summary.requirements.empty()) return Verdict::kNone;
  bool all_seen = true;
  for (const RequirementResult& result : summary.requirements) {
    if (result.seen && !result.holds) return Verdict::kFail;
    all_seen = all_seen && result.seen;
  }
  return all_seen ? Verdict::kHold : Verdict::kNoData;
}

void count_seed(const SeedRecord& seed, SeedCounts& counts) {
  ++counts.placed;
  if (seed.sensed) ++counts.sensed;
  switch (seed.status) {
    case SeedStatus::kBanded: ++counts.banded; break;
    case SeedStatus::kMerged: ++counts.merged; break;
    case SeedStatus::kShared: ++counts.shared; break;
    case SeedStatus::kEdgeMissed: ++counts.edge_missed; break;
    case SeedStatus::kNoBand: ++counts.no_band; break;
    case SeedStatus::kWeak: ++counts.weak; break;
  }
}

double share_of(long long part, long long whole) {
  return whole > 0 ? static_cast<double>(part) / static_cast<double>(whole)
                   : statistics::kNone_ratio;
}

void add_volumes(std::span<const RowRecord> rows, const scenario::Scenario& scenario,
                 Figures& figures) {
  double outside_m3 = 0.0, worked_m3 = 0.0, outward_m4 = 0.0, area_m2 = 0.0;  // tidy: by volume
  for (const RowRecord& row : rows) {
    figures.applied_volume_m3 += row.applied_volume_m3;
    outside_m3 += row.outside_volume_m3;
    worked_m3 += row.worked_volume_m3;
    outward_m4 += row.outward_sum_m4;
    figures.outward_max_m = std::max(figures.outward_max_m, row.outward_max_m);
    area_m2 += row.travelled_m * scenario.row.width_m;
    if (row.inlet_volume_m3 > 0.0) {
      const double residual_ratio = std::fabs(row.balance_residual_m3) / row.inlet_volume_m3;
      figures.balance_residual_ratio = std::max(figures.balance_residual_ratio, residual_ratio);
    }
  }
  if (figures.applied_volume_m3 > 0.0) figures.gap_ratio = outside_m3 / figures.applied_volume_m3;
  if (figures.applied_volume_m3 > 0.0)
    figures.outward_mean_m = outward_m4 / figures.applied_volume_m3;
  if (area_m2 > 0.0) figures.field_rate_m3pm2 = worked_m3 / area_m2;
}

}  // namespace sim::measure
