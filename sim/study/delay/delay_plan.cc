#include "sim/study/delay/delay_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/row/row_unit.h"
#include "sim/bench/random.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/faults/pressure_sag.h"
#include "sim/scenario/loader.h"
#include "sim/text/quantity.h"

namespace sim::delay {
namespace {

// Indices of replica_key: fit and report never share a key, whatever their sizes.
constexpr std::uint64_t kFitKeys = 1'000'000;
constexpr std::uint64_t kReportFirstKey = 2'000'000;
constexpr std::size_t kSpeedsApart = 3;
constexpr double kLeastApart_ratio = 1.05;  // nearer speeds count as one

std::vector<double> spread_out(double middle, double span, int count) {  // tidy: unit the caller's
  if (count < 2 || span == 0.0) return {middle};
  std::vector<double> values;
  for (int k = 0; k < count; ++k) values.push_back(middle - span + 2.0 * span * k / (count - 1));
  return values;
}

std::vector<double> speeds_mps(const scenario::TuningSection& tuning) {
  std::vector<double> speeds;
  for (int k = 0; k < tuning.speeds; ++k)
    speeds.push_back(tuning.slowest_mps +
                     (tuning.fastest_mps - tuning.slowest_mps) * k / (tuning.speeds - 1));
  return speeds;
}

std::vector<double> known_temperatures_k(const DelayInputs& inputs, DelayPlan& plan) {
  std::vector<double> known;
  const scenario::Scenario& scenario = inputs.scenario;
  for (const double k :
       spread_out(scenario.liquid.temperature_k, scenario.tuning.temperature_span_k, 3)) {
    try {
      inputs.liquid_at(k);
      known.push_back(k);
    } catch (const text::InputError& error) {
      plan.notes.push_back(fmt::format("{:.1f} C was left out: {}", k - 273.15, error.what()));
    }
  }
  return known;
}

std::vector<double> half_ways(const std::vector<double>& values) {
  std::vector<double> middles;
  for (std::size_t k = 0; k + 1 < values.size(); ++k)
    middles.push_back(0.5 * (values[k] + values[k + 1]));
  return middles.empty() ? values : middles;
}

bool liquid_is_known(const DelayInputs& inputs, double temperature_k) {
  try {
    inputs.liquid_at(temperature_k);
    return true;
  } catch (const text::InputError&) {
    return false;
  }
}

/// Half way to the fit's colder and warmer temperature; the scenario's own where the liquid is not
/// known there.
std::vector<double> judged_temperatures_k(const DelayInputs& inputs) {
  const double middle_k = inputs.scenario.liquid.temperature_k;
  const std::vector<double> fit_k =
      spread_out(middle_k, inputs.scenario.tuning.temperature_span_k, 3);
  if (fit_k.size() == 1) return fit_k;
  std::vector<double> judged_k = half_ways(fit_k);
  if (!liquid_is_known(inputs, fit_k.front())) judged_k.front() = middle_k;
  if (!liquid_is_known(inputs, fit_k.back())) judged_k.back() = middle_k;
  if (judged_k.front() == judged_k.back()) return {middle_k};
  return judged_k;
}

std::vector<double> voltages_of_v(const scenario::Scenario& scenario) {
  return spread_out(scenario.supply.voltage_v, scenario.tuning.voltage_span_v, 3);
}

std::string kmph(double speed_mps) {
  return "\"" + text::format_quantity(speed_mps, text::Kind::kSpeed, "km/h", 3) + "\"";
}

void check(const scenario::Scenario& scenario) {
  const scenario::TuningSection& tuning = scenario.tuning;
  const std::string both = "tuning.slowest = " + kmph(tuning.slowest_mps) +
                           " and tuning.fastest = " + kmph(tuning.fastest_mps);
  if (tuning.slowest_mps > tuning.fastest_mps)
    throw text::InputError(scenario.name +
                           ": tuning.slowest: the slowest speed lies above the fastest: " + both +
                           "; state them the other way round");
  if (tuning.speeds < 2 || !(tuning.fastest_mps > kLeastApart_ratio * tuning.slowest_mps))
    throw text::InputError(
        scenario.name + ": " + (tuning.speeds < 2 ? "tuning.speeds" : "tuning.fastest") +
        ": one speed cannot tell a time error from a distance error: D = a + b/v needs two, such "
        "as tuning.slowest = " +
        kmph(0.5 * tuning.fastest_mps) + ", tuning.fastest = " + kmph(tuning.fastest_mps) +
        ", tuning.speeds = 2; stated: " + both +
        ", tuning.speeds = " + std::to_string(tuning.speeds));
}

void add_fit(const DelayInputs& inputs, DelayPlan& plan) {
  const scenario::Scenario& scenario = inputs.scenario;
  const scenario::TuningSection& tuning = scenario.tuning;
  const std::vector<double> rates = spread_out(1.0, tuning.rate_span_ratio, tuning.rates);
  const std::vector<double> spacings = spread_out(1.0, tuning.spacing_span_ratio, 3);
  const std::vector<double> speeds = speeds_mps(tuning);
  for (std::size_t s = 0; s < speeds.size(); ++s)
    for (std::size_t r = 0; r < rates.size(); ++r)
      for (std::size_t t = 0; t < plan.temperatures_k.size(); ++t) {
        DelayCondition one;
        one.speed_mps = speeds[s];
        one.rate_m3pm2 = rates[r] * scenario.rate.in_band_m3pm2;
        one.temperature_k = plan.temperatures_k[t];
        // Latin square: neither follows speed, rate or temperature alone
        one.voltage_v = plan.voltages_v[(s + r + t) % plan.voltages_v.size()];
        one.spacing_m =
            spacings[(s + 2 * r + t) % spacings.size()] * scenario.seeding.meter.spacing_m;
        const std::size_t rows_of =
            (r * plan.temperatures_k.size() + t) * kSpeedsApart + s % kSpeedsApart;
        one.rng_key = bench::replica_key(scenario.rng_key, kFitKeys + rows_of);
        if (deliverable(inputs, one)) {
          plan.fit.push_back(one);
        } else {
          ++plan.not_deliverable;
        }
      }
}

void add_report(const DelayInputs& inputs, DelayPlan& plan) {
  for (std::size_t s = 0; s < plan.judging.speeds_mps.size(); ++s)
    for (const DelayCondition& one :
         judging_conditions(inputs, plan.judging, {plan.judging.speeds_mps[s], s}))
      if (deliverable(inputs, one)) plan.report.push_back(one);
}

}  // namespace

Judging judging_of(const DelayInputs& inputs) {
  const scenario::TuningSection& tuning = inputs.scenario.tuning;
  Judging judging;
  if (tuning.speeds > 1) judging.speeds_mps = half_ways(speeds_mps(tuning));
  judging.temperatures_k = judged_temperatures_k(inputs);
  judging.voltages_v = half_ways(voltages_of_v(inputs.scenario));
  for (double& voltage_v : judging.voltages_v)
    if (voltage_v <= 0.0) voltage_v = inputs.scenario.supply.voltage_v;
  for (const double share_ratio : half_ways(spread_out(1.0, tuning.spacing_span_ratio, 3)))
    judging.spacings_m.push_back(share_ratio * inputs.scenario.seeding.meter.spacing_m);
  return judging;
}

std::vector<DelayCondition> judging_conditions(const DelayInputs& inputs, const Judging& judging,
                                               const JudgedSpeed& at) {
  const scenario::Scenario& scenario = inputs.scenario;
  std::vector<DelayCondition> conditions;
  for (std::size_t key = 0; key < kReportKeys; ++key)
    conditions.push_back(
        {.speed_mps = at.speed_mps,
         .rate_m3pm2 = scenario.rate.in_band_m3pm2,
         .temperature_k = judging.temperatures_k[key % judging.temperatures_k.size()],
         .voltage_v = judging.voltages_v[(at.index + key) % judging.voltages_v.size()],
         .spacing_m = judging.spacings_m[(key + at.index / 2) % judging.spacings_m.size()],
         .rng_key = bench::replica_key(scenario.rng_key, kReportFirstKey + key)});
  return conditions;
}

bool deliverable(const DelayInputs& inputs, const DelayCondition& condition) {
  return condition.rate_m3pm2 * inputs.scenario.row.width_m * condition.speed_mps <=
         largest_flow_m3ps(inputs, condition);
}

double largest_flow_m3ps(const DelayInputs& inputs, const DelayCondition& condition) {
  const scenario::Scenario& scenario = inputs.scenario;
  if (scenario.row.physics == scenario::RowPhysics::kIdeal) return HUGE_VAL;
  model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  row.liquid = inputs.liquid_at(condition.temperature_k);
  return model::steady_flow_m3ps(row, scenario.supply.pressure_pa, row.valve.plunger.travel_m);
}

scenario::Scenario condition_scenario(const DelayInputs& inputs, const DelayCondition& condition) {
  scenario::Scenario scenario = inputs.scenario;
  scenario.travel = {};
  scenario.travel.speed_mps = condition.speed_mps;
  scenario.rate.in_band_m3pm2 = condition.rate_m3pm2;
  scenario.rate.continuous = false;
  scenario.liquid.temperature_k = condition.temperature_k;
  scenario.liquid.liquid = inputs.liquid_at(condition.temperature_k);
  scenario.supply.voltage_v = condition.voltage_v;
  scenario.seeding.meter.spacing_m = condition.spacing_m;
  scenario.seeding.spacings_m.clear();
  scenario.controller.row_trim = false;
  scenario.work = {};
  scenario.faults.clear();
  scenario.requirements.clear();
  scenario.duration_s = 0.0;
  scenario.seeds = condition.seeds > 0
                       ? condition.seeds
                       : std::max(1, scenario.tuning.seeds / std::max(1, scenario.row.count));
  scenario.controller.entered_viscosity_pas = condition.believed_viscosity_pas;
  if (condition.pressure_ratio != 1.0)
    scenario.faults = {
        {.kind = scenario::PressureSag::kName, .amount_ratio = 1.0 - condition.pressure_ratio}};
  scenario.rng_key = condition.rng_key;
  return scenario;
}

DelayPlan plan_delay_study(const DelayInputs& inputs) {
  const scenario::Scenario& scenario = inputs.scenario;
  check(scenario);
  DelayPlan plan;
  plan.temperatures_k = known_temperatures_k(inputs, plan);
  plan.voltages_v = voltages_of_v(scenario);
  plan.judging = judging_of(inputs);
  add_fit(inputs, plan);
  add_report(inputs, plan);
  std::vector<double> speeds;
  for (const DelayCondition& one : plan.fit) speeds.push_back(one.speed_mps);
  const bool two = !speeds.empty() && speeds.front() != speeds.back();
  if (!two || plan.report.empty()) {
    DelayCondition slowest{.speed_mps = scenario.tuning.slowest_mps,
                           .rate_m3pm2 = scenario.rate.in_band_m3pm2,
                           .temperature_k = scenario.liquid.temperature_k};
    const double most_mps =
        largest_flow_m3ps(inputs, slowest) / (scenario.rate.in_band_m3pm2 * scenario.row.width_m);
    throw text::InputError(fmt::format(
        "{}: attachment: cannot pass the rate at two speeds between {:.1f} and {:.1f} km/h: at "
        "{:.2f} "
        "bar it gives {:.2f} l/min, enough for {:.1f} km/h; nearest workable: tuning.fastest = "
        "\"{:.1f} km/h\", a wider outlet or a higher supply.pressure",
        scenario.name, scenario.tuning.slowest_mps * 3.6, scenario.tuning.fastest_mps * 3.6,
        scenario.supply.pressure_pa * 1e-5, largest_flow_m3ps(inputs, slowest) * 6e4,
        most_mps * 3.6, most_mps * 3.6));
  }
  return plan;
}

}  // namespace sim::delay
