#include "sim/study/delay/delay_report.h"

#include <oneapi/tbb/parallel_invoke.h>

#include <algorithm>
#include <cmath>

#include "sim/bench/random.h"
#include "sim/measure/summary.h"
#include "sim/statistics/lower_bound.h"
#include "sim/statistics/quantiles.h"
#include "sim/statistics/spread.h"
#include "sim/study/tune/table_reading.h"
#include "sim/study/tune/tune.h"

namespace sim::delay {
namespace {

constexpr double kHeld_ratio = 0.95;
constexpr double kFlatStep_s = 20e-6;
constexpr int kFlatSteps = 250;  // 5 ms either way

double trim_of_m(const ShareOf& of, std::size_t condition, std::size_t rows, int row) {
  if (of.trims_m.empty()) return 0.0;
  return of.trims_m[condition * rows + static_cast<std::size_t>(row)];
}

/// Errors at one speed per cluster, with the trims of the clusters.
struct Errors {
  std::vector<std::vector<double>> plain_m;  // per cluster
  std::vector<double> trim_m;
};

Errors errors_of(const ShareOf& of, std::size_t rows) {
  Errors errors;
  for (std::size_t c = 0; c < of.seen.size(); ++c)
    for (std::size_t row = 0; row < rows; ++row) {
      std::vector<double> own_m;
      for (const SeenBand& band : of.seen[c]->bands)
        if (static_cast<std::size_t>(band.row) == row) own_m.push_back(band.error_m);
      errors.plain_m.push_back(std::move(own_m));
      errors.trim_m.push_back(trim_of_m(of, c, rows, static_cast<int>(row)));
    }
  return errors;
}

void fill_spread(const Errors& errors, DelaySpeed& at) {
  std::vector<double> all_m, trimmed_m, within_m, means_m;
  for (std::size_t c = 0; c < errors.plain_m.size(); ++c) {
    const std::vector<double>& own_m = errors.plain_m[c];
    if (own_m.empty()) continue;
    const double mean_m = statistics::mean_of(own_m);
    means_m.push_back(mean_m);
    for (const double error_m : own_m) {
      all_m.push_back(error_m);
      trimmed_m.push_back(error_m + errors.trim_m[c]);
      within_m.push_back(error_m - mean_m);
    }
  }
  if (all_m.size() < 2) return;
  at.mean.value_m = statistics::mean_of(means_m);
  at.mean.half_m = statistics::kTwoSided95_ratio * statistics::sd_of(means_m) /
                   std::sqrt(static_cast<double>(means_m.size()));
  at.sd_m = statistics::sd_of(all_m);
  at.trimmed_sd_m = statistics::sd_of(trimmed_m);
  at.trimmed_mean_m = statistics::mean_of(trimmed_m);
  double squares_m2 = 0.0;
  for (const double left_m : within_m) squares_m2 += left_m * left_m;
  at.floor_sd_m = std::sqrt(squares_m2 / std::max(1.0, static_cast<double>(within_m.size()) -
                                                           static_cast<double>(means_m.size())));
}

/// How far all openings may shift one way before the share is lost.
double flat_one_way_s(const Errors& errors, double speed_mps, double step_s, double tolerance_m,
                      double sensed, double merged_good) {  // tidy: unit seeds
  double held_s = statistics::kNone_ratio;
  for (int k = 0; k <= kFlatSteps; ++k) {
    double good = merged_good;  // tidy: unit seeds
    for (std::size_t c = 0; c < errors.plain_m.size(); ++c)
      for (const double error_m : errors.plain_m[c])
        if (std::fabs(error_m + errors.trim_m[c] + speed_mps * step_s * k) <= tolerance_m)
          good += 1.0;
    if (good < kHeld_ratio * sensed) break;
    held_s = std::fabs(step_s * k);
  }
  return held_s;
}

void fill_order(const scenario::Scenario& scenario, const sillion_attachment_table& table,
                DelaySpeed& at) {
  at.flow_m3ps = scenario.rate.in_band_m3pm2 * scenario.row.width_m * at.speed_mps;
  const tune::TableReading reading = tune::read_table(table, at.flow_m3ps);
  const tune::PulseOrder order = tune::pulse_order(table, at.flow_m3ps, at.speed_mps);
  at.pressure_pa = reading.pressure_pa;
  at.lead_s = reading.lead_s;
  at.lag_s = reading.lag_s;
  at.delay_s = order.delay_s;
  at.on_s = order.on_s;
  at.servable = order.delay_s >= 0.0;
  at.smallest_offset_m = scenario.attachment.outlet_offset_m - at.speed_mps * order.delay_s;
  at.smallest_spacing_m = at.speed_mps * (order.on_s + table.shortest_closed_us * 1e-6);
}

DelaySpeed speed_of(const DelayInputs& inputs, const ShareOf& of,
                    const sillion_attachment_table& table) {
  const scenario::Scenario& scenario = inputs.scenario;
  const std::size_t rows = of.seen.front()->rows.size();
  DelaySpeed at;
  at.speed_mps = of.seen.front()->condition.speed_mps;
  at.deliverable = of.seen.size() == kReportKeys;
  fill_order(scenario, table, at);
  const Errors errors = errors_of(of, rows);
  fill_spread(errors, at);
  for (int t = 0; t < kTolerances; ++t) {
    at.plain[t] = held_share({of.seen, {}}, scenario, t);
    at.trimmed[t] = held_share(of, scenario, t);
  }
  double merged_good = 0.0;  // tidy: unit seeds
  for (const SeenCondition* one : of.seen) {
    at.jet_speed_mps += one->jet_speed_mps / static_cast<double>(of.seen.size());
    for (const RowCounts& counts : one->rows) {
      at.sensed += counts.sensed;
      merged_good += static_cast<double>(counts.merged_good[0]);
    }
  }
  const auto sensed = static_cast<double>(at.sensed);  // tidy: unit seeds
  const double tolerance = tolerance_m(scenario, 0);   // tidy: unit m
  at.early_s = flat_one_way_s(errors, at.speed_mps, -kFlatStep_s, tolerance, sensed, merged_good);
  at.late_s = flat_one_way_s(errors, at.speed_mps, kFlatStep_s, tolerance, sensed, merged_good);
  return at;
}

struct RowSum {
  double sum_m = 0.0;
  long long bands = 0;
};

void fill_row_means(std::span<const SeenCondition> seen, std::uint64_t first_key,
                    DelayReport& report) {
  const std::size_t rows = seen.front().rows.size();
  std::vector<RowSum> sums(report.strips.trims_m.size());
  for (const SeenCondition& one : seen) {
    const std::size_t key = one.condition.rng_key == first_key ? 0 : 1;
    for (const SeenBand& band : one.bands) {
      if (!band.alone) continue;
      RowSum& sum = sums[key * rows + static_cast<std::size_t>(band.row)];
      sum.sum_m += band.error_m;
      ++sum.bands;
    }
  }
  for (std::size_t k = 0; k < sums.size(); ++k)
    if (sums[k].bands > 0)
      report.row_means.push_back(
          {sums[k].sum_m / static_cast<double>(sums[k].bands), report.strips.trims_m[k]});
}

}  // namespace

std::vector<RowTrim> strip_trims(const SeenCondition& strip, double reading_m) {
  std::vector<RowTrim> trims;
  for (std::size_t row = 0; row < strip.rows.size(); ++row) {
    std::vector<double> errors_m;
    for (const SeenBand& band : strip.bands)
      if (static_cast<std::size_t>(band.row) == row && band.alone) errors_m.push_back(band.error_m);
    RowTrim trim;
    if (errors_m.size() >= 2) {
      const double root_ratio = std::sqrt(static_cast<double>(errors_m.size()));
      const bench::RandomStream stream{
          .rng_key = strip.condition.rng_key, .row = static_cast<std::uint32_t>(row), .pass = 1};
      const double tape_m =
          reading_m / root_ratio * stream.normal_ratio(bench::Purpose::kStripReading, 0);
      trim.trim_m = -(statistics::mean_of(errors_m) + tape_m);
      const double sd_m = statistics::sd_of(errors_m);
      trim.half_m =
          statistics::kTwoSided95_ratio * statistics::root_of_squares(sd_m, reading_m) / root_ratio;
    }
    trims.push_back(trim);
  }
  return trims;
}

HeldShare held_share(const ShareOf& of, const scenario::Scenario& scenario, int tolerance) {
  HeldShare held;
  held.tolerance_m = tolerance_m(scenario, tolerance);
  std::vector<long long> good, total;
  for (std::size_t c = 0; c < of.seen.size(); ++c) {
    const SeenCondition& one = *of.seen[c];
    const std::size_t rows = one.rows.size();
    const std::size_t from = good.size();
    for (const RowCounts& counts : one.rows) {
      good.push_back(counts.merged_good[tolerance]);
      total.push_back(counts.sensed);
    }
    for (const SeenBand& band : one.bands) {
      if (!band.sensed) continue;
      const double error_m = band.error_m + trim_of_m(of, c, rows, band.row);
      if (std::fabs(error_m) <= held.tolerance_m) ++good[from + static_cast<std::size_t>(band.row)];
    }
  }
  long long all_good = 0, all = 0;
  for (std::size_t k = 0; k < good.size(); ++k) {
    all_good += good[k];
    all += total[k];
  }
  if (all == 0) return held;
  held.share_ratio = static_cast<double>(all_good) / static_cast<double>(all);
  held.lower95_ratio = statistics::lower95_ratio(good, total);
  held.holds = held.share_ratio >= kHeld_ratio;
  return held;
}

DelayCondition judged_condition(const DelayInputs& inputs, const DelayPlan& plan) {
  DelayCondition judged = plan.report.front();
  judged.speed_mps =
      std::min(tune::judged_speed_mps(inputs.scenario), plan.report.back().speed_mps);
  judged.temperature_k = inputs.scenario.liquid.temperature_k;
  judged.voltage_v = inputs.scenario.supply.voltage_v;
  judged.spacing_m = inputs.scenario.seeding.meter.spacing_m;
  return judged;
}

StripTrims lay_strips(const DelayInputs& inputs, const DelayPlan& plan,
                      const sillion_attachment_table& table, const SeeingOptions& options) {
  std::vector<DelayCondition> conditions;
  for (std::size_t key = 0; key < kReportKeys; ++key) {
    DelayCondition strip = judged_condition(inputs, plan);
    strip.rng_key = plan.report[std::min(key, plan.report.size() - 1)].rng_key;
    strip.seeds = inputs.scenario.controller.strip_test_bands;
    strip.pass = 1;
    conditions.push_back(strip);
  }
  StripTrims strips;
  for (const SeenCondition& strip : see_conditions(inputs, conditions, table, options)) {
    const std::vector<RowTrim> trims =
        strip_trims(strip, inputs.scenario.controller.strip_test_reading_m);
    if (strips.first.empty()) strips.first = trims;
    for (const RowTrim& trim : trims) strips.trims_m.push_back(trim.trim_m);
  }
  return strips;
}

DelaySpeed judge_speed(const DelayInputs& inputs, const Judging& judging, const JudgedSpeed& at,
                       const sillion_attachment_table& table, const StripTrims& strips,
                       const SeeingOptions& options) {
  const std::vector<DelayCondition> conditions = judging_conditions(inputs, judging, at);
  for (const DelayCondition& one : conditions)
    if (!deliverable(inputs, one)) {
      DelaySpeed refused;
      refused.speed_mps = at.speed_mps;
      refused.deliverable = false;
      fill_order(inputs.scenario, table, refused);
      return refused;
    }
  const std::vector<SeenCondition> seen = see_conditions(inputs, conditions, table, options);
  std::vector<const SeenCondition*> all;
  for (const SeenCondition& one : seen) all.push_back(&one);
  return speed_of(inputs, {all, strips.trims_m}, table);
}

DelayReport report_delay(const DelayInputs& inputs, const DelayPlan& plan,
                         const sillion_attachment_table& table, const SeeingOptions& options) {
  DelayReport report;
  const std::uint64_t first_key = plan.report.front().rng_key;
  std::vector<SeenCondition> seen;
  oneapi::tbb::parallel_invoke([&] { report.strips = lay_strips(inputs, plan, table, options); },
                               [&] { seen = see_conditions(inputs, plan.report, table, options); });
  report.left = law_error_of(seen);
  const std::size_t rows = seen.front().rows.size();
  for (std::size_t from = 0; from < seen.size();) {
    std::size_t to = from;
    std::vector<const SeenCondition*> same;
    std::vector<double> trims_m;
    while (to < seen.size() && seen[to].condition.speed_mps == seen[from].condition.speed_mps) {
      same.push_back(&seen[to]);
      const std::size_t key = seen[to].condition.rng_key == first_key ? 0 : 1;
      for (std::size_t row = 0; row < rows; ++row)
        trims_m.push_back(report.strips.trims_m[key * rows + row]);
      ++to;
    }
    report.speeds.push_back(speed_of(inputs, {same, trims_m}, table));
    from = to;
  }
  fill_row_means(seen, first_key, report);
  return report;
}

}  // namespace sim::delay
