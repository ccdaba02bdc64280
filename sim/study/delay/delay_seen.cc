#include "sim/study/delay/delay_seen.h"

#include <oneapi/tbb/parallel_for.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <string>

#include "sim/measure/placement.h"
#include "sim/measure/summary.h"
#include "sim/study/delay/seen_record.h"

namespace sim::delay {
namespace {

constexpr double kLongRest_s = 1.0;

bool stands_alone(const measure::RowRecord& row, int seed, double least_m) {
  const auto index = static_cast<std::size_t>(seed);
  const double x_m = row.seeds[index].rest_x_ground_m;
  const auto far_from = [&](std::size_t other) {
    return std::fabs(row.seeds[other].rest_x_ground_m - x_m) > least_m;
  };
  return (index == 0 || far_from(index - 1)) &&
         (index + 1 == row.seeds.size() || far_from(index + 1));
}

void see_row(measure::RowRecord& row, const scenario::Scenario& scenario, int row_index,
             SeenCondition& seen) {
  const measure::PlacementRules rules = measure::placement_rules_of(scenario);
  measure::match_bands(row, rules);
  const double half_m = 0.5 * scenario.rate.band_length_m;
  RowCounts counts;
  for (std::size_t k = 0; k < row.seeds.size(); ++k) {
    const measure::SeedRecord& seed = row.seeds[k];
    if (seed.sensed) ++counts.sensed;
    if (seed.sensed && seed.status == measure::SeedStatus::kMerged)
      for (int t = 0; t < kTolerances; ++t)
        if (measure::within_tolerance(row, static_cast<int>(k), tolerance_m(scenario, t), rules))
          ++counts.merged_good[t];
    if (seed.status != measure::SeedStatus::kBanded || seed.band < 0) continue;
    const auto index = static_cast<std::size_t>(seed.band);
    const measure::BandRecord& band = row.bands[index];
    seen.bands.push_back(
        {.row = row_index,
         .start_error_m = band.start_x_ground_m - (seed.rest_x_ground_m - half_m),
         .end_error_m = band.end_x_ground_m - (seed.rest_x_ground_m + half_m),
         .error_m = seed.placement_error_m,
         .rest_s = index == 0 ? kLongRest_s
                              : std::min(kLongRest_s, band.open_s - row.bands[index - 1].close_s),
         .alone = stands_alone(row, static_cast<int>(k), 0.5 * rules.theoretical_spacing_m),
         .sensed = seed.sensed});
  }
  seen.rows.push_back(counts);
}

double table_flow_m3ps(const sillion_attachment_table& table, double wanted_m3ps) {
  return std::clamp(wanted_m3ps, table.flow_mm3ps[0] * 1e-9,
                    table.flow_mm3ps[table.points - 1] * 1e-9);
}

SeenCondition see_one(const scenario::Scenario& scenario, const DelayCondition& condition,
                      const sillion_attachment_table& table, const std::atomic<bool>* stop) {
  bench::PassRecord record = bench::run_pass(
      scenario, table, {}, {.watch = {}, .pass = condition.pass, .stop = stop, .on_progress = {}});
  SeenCondition one;
  one.condition = condition;
  one.viscosity_pas = scenario.liquid.liquid.viscosity_pas;
  one.flow_m3ps =
      table_flow_m3ps(table, condition.rate_m3pm2 * scenario.row.width_m * condition.speed_mps);
  double speed_sum = 0.0, volume_m3 = 0.0;  // tidy: unit m/s m3
  for (std::size_t row = 0; row < record.rows.size(); ++row) {
    speed_sum += record.rows[row].jet_speed_sum_mps;
    volume_m3 += record.rows[row].applied_volume_m3;
    see_row(record.rows[row], scenario, static_cast<int>(row), one);
  }
  if (volume_m3 > 0.0) one.jet_speed_mps = speed_sum / volume_m3;
  return one;
}

/// The condition as an earlier study saw it, or as it is seen now and kept.
SeenCondition found_or_seen(const scenario::Scenario& scenario, const DelayCondition& condition,
                            const sillion_attachment_table& table, const SeeingOptions& options) {
  if (options.ledger == nullptr) return see_one(scenario, condition, table, options.stop);
  const std::string key = condition_key(scenario, condition, table);
  if (const std::optional<std::string> record = options.ledger->find(key, 0))
    if (std::optional<SeenCondition> found = seen_from(*record)) return *std::move(found);
  SeenCondition one = see_one(scenario, condition, table, options.stop);
  options.ledger->keep(key, 0, seen_bytes(one));
  return one;
}

/// The rows of one key are the same clusters in every condition.
void number_clusters(int rows, std::vector<SeenCondition>& seen) {
  std::map<std::uint64_t, int> order;
  for (SeenCondition& one : seen) {
    const auto place = order.emplace(one.condition.rng_key, static_cast<int>(order.size())).first;
    for (SeenBand& band : one.bands) band.cluster = place->second * rows + band.row;
  }
}

}  // namespace

double tolerance_m(const scenario::Scenario& scenario, int index) {
  constexpr double kFixed_m[] = {10e-3, 25e-3};
  return index < 2 ? kFixed_m[index] : 0.5 * scenario.rate.band_length_m;
}

std::vector<SeenCondition> see_conditions(const DelayInputs& inputs,
                                          const std::vector<DelayCondition>& conditions,
                                          const sillion_attachment_table& table,
                                          const SeeingOptions& options) {
  std::vector<SeenCondition> seen(conditions.size());
  oneapi::tbb::parallel_for(std::size_t{0}, conditions.size(), [&](std::size_t c) {
    const scenario::Scenario scenario = condition_scenario(inputs, conditions[c]);
    seen[c] = found_or_seen(scenario, conditions[c], table, options);
    if (options.on_condition) options.on_condition();
  });
  number_clusters(inputs.scenario.row.count, seen);
  return seen;
}

}  // namespace sim::delay
