#include "sim/study/delay/delay.h"

#include <oneapi/tbb/parallel_invoke.h>

#include <algorithm>
#include <cmath>

#include "model/row/row_unit.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/table_seal.h"
#include "sim/statistics/spread.h"
#include "sim/study/delay/delay_box.h"
#include "sim/study/delay/delay_report.h"
#include "sim/study/delay/holding.h"
#include "sim/study/tune/tune_once.h"

namespace sim::delay {
namespace {

/// Pressure for the flow with the liquid at `temperature_k`, over that with the scenario's, in
/// 1/4096.
std::int32_t pressure_factor_q12(const DelayInputs& inputs, double flow_m3ps,
                                 double temperature_k) {
  scenario::Scenario other = inputs.scenario;
  other.liquid.liquid = inputs.liquid_at(temperature_k);
  other.supply.pressure_pa *= 4.0;  // only the factor matters, not the pump's reach
  scenario::Scenario here = inputs.scenario;
  here.supply.pressure_pa *= 4.0;
  const double ratio =
      tune::pressure_for_flow_pa(other, flow_m3ps) / tune::pressure_for_flow_pa(here, flow_m3ps);
  return static_cast<std::int32_t>(std::llround(4096.0 * ratio));
}

struct LiquidPoint {
  double viscosity_pas = 0.0;
  double temperature_k = 0.0;
};

std::vector<LiquidPoint> liquid_points(const DelayInputs& inputs, const DelayPlan& plan) {
  std::vector<LiquidPoint> points;
  for (const double temperature_k : plan.temperatures_k)
    points.push_back({inputs.liquid_at(temperature_k).viscosity_pas, temperature_k});
  std::sort(points.begin(), points.end(), [](const LiquidPoint& a, const LiquidPoint& b) {
    return a.viscosity_pas < b.viscosity_pas;
  });
  return points;
}

FitReferences references_of(const DelayInputs& inputs, const DelayPlan& plan) {
  FitReferences references;
  references.voltage_v = inputs.scenario.supply.voltage_v;
  references.viscosity_pas = inputs.scenario.liquid.liquid.viscosity_pas;
  references.voltages_v = plan.voltages_v;
  for (const LiquidPoint& point : liquid_points(inputs, plan))
    references.viscosities_pas.push_back(point.viscosity_pas);
  return references;
}

/// Scatter of the row means, before and after the strips' trims.
void spread_of_rows(const DelayReport& report, DelayStudy& study) {
  std::vector<double> before_m, after_m;
  for (const RowMean& row : report.row_means) {
    before_m.push_back(row.mean_m);
    after_m.push_back(row.mean_m + row.trim_m);
  }
  study.rows_before_sd_m = statistics::sd_of(before_m);
  study.rows_after_sd_m = statistics::sd_of(after_m);
}

/// The report has judged its own speeds already; speeds between two of them are judged now.
FastestHeld fastest_of(const DelayInputs& inputs, const DelayStudy& study, const StripTrims& strips,
                       const SeeingOptions& seeing) {
  return find_fastest(study.plan.judging.speeds_mps, [&](const JudgedSpeed& asked) {
    for (const DelaySpeed& at : study.speeds)
      if (at.speed_mps == asked.speed_mps) return at;
    return judge_speed(inputs, study.plan.judging, asked, study.table, strips, seeing);
  });
}

void note_left_out(const DelayPlan& plan, DelayStudy& study) {
  study.notes = plan.notes;
  if (plan.not_deliverable > 0)
    study.notes.push_back(std::to_string(plan.not_deliverable) +
                          " speeds with a rate and a temperature were left out: the supply cannot "
                          "give their flow.");
}

}  // namespace

tune::TunedTable start_table(const DelayInputs& inputs, const DelayPlan& plan) {
  const scenario::TuningSection& tuning = inputs.scenario.tuning;
  const double span_ratio = tuning.rates > 1 ? tuning.rate_span_ratio : 0.0;
  tune::TunedTable start = tune::tune_once(inputs.scenario, {.lowest_ratio = 1.0 - span_ratio,
                                                             .highest_ratio = 1.0 + span_ratio,
                                                             .slowest_mps = tuning.slowest_mps,
                                                             .fastest_mps = tuning.fastest_mps});
  if (inputs.scenario.row.physics == scenario::RowPhysics::kIdeal) return start;
  sillion_correction& viscosity = start.table.viscosity;
  for (const LiquidPoint& point : liquid_points(inputs, plan)) {
    const auto at = static_cast<std::int32_t>(std::llround(point.viscosity_pas * 1e6));
    if (viscosity.points > 0 && viscosity.at[viscosity.points - 1] >= at) continue;
    start.table.viscosity_pressure_q12[viscosity.points] =
        pressure_factor_q12(inputs, start.flow_m3ps, point.temperature_k);
    viscosity.at[viscosity.points++] = at;
  }
  return start;
}

DelayStudy run_delay_study(const DelayInputs& inputs, const DelayOptions& options) {
  DelayStudy study;
  study.scenario = inputs.scenario;
  study.plan = plan_delay_study(inputs);
  note_left_out(study.plan, study);
  const double work =
      static_cast<double>(study.plan.fit.size() + study.plan.report.size() + kReportKeys) +
      kBoxPasses;  // tidy: unit passes
  std::atomic<int> done{0};
  const SeeingOptions seeing{.stop = options.stop,
                             .on_condition =
                                 [&] {
                                   const int now = ++done;
                                   if (options.on_progress)
                                     options.on_progress(std::min(1.0, now / work));
                                 },
                             .ledger = options.ledger};
  study.start = start_table(inputs, study.plan);
  study.fit = fit_delay(see_conditions(inputs, study.plan.fit, study.start.table, seeing),
                        study.start.table, references_of(inputs, study.plan));
  study.table = scenario::sealed_table(study.fit.table);
  const DelayReport report = report_delay(inputs, study.plan, study.table, seeing);
  study.speeds = report.speeds;
  study.left = report.left;
  study.trims = report.strips.first;
  spread_of_rows(report, study);
  oneapi::tbb::parallel_invoke(
      [&] { study.fastest = fastest_of(inputs, study, report.strips, seeing); },
      [&] { study.box = find_box(inputs, study.plan, study.table, report, seeing); });
  return study;
}

HeldRange speeds_held_mps(const DelayStudy& study, int tolerance, bool trimmed) {
  HeldRange range;
  for (std::size_t k = study.speeds.size(); k-- > 0;) {
    if (!holds(study.speeds[k], tolerance, trimmed)) {
      if (std::isnan(range.high_si)) continue;
      break;
    }
    if (std::isnan(range.high_si)) range.high_si = study.speeds[k].speed_mps;
    range.low_si = study.speeds[k].speed_mps;
    range.low_open = k == 0;
  }
  if (!study.speeds.empty() && range.high_si == study.speeds.back().speed_mps)
    range.high_open = true;
  if (tolerance == 0 && trimmed && !std::isnan(range.high_si))
    range.high_si = study.fastest.holds_mps;
  return range;
}

}  // namespace sim::delay
