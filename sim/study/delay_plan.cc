#include "sim/study/delay_plan.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "model/row_unit.h"
#include "sim/bench/random.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/faults/pressure_sag.h"
#include "sim/scenario/loader.h"

namespace sim {
namespace {

// Indices of replica_key: fit and report never meet, whatever the sizes.
constexpr std::uint64_t kFitKeys = 1'000'000;
constexpr std::uint64_t kReportFirstKey = 2'000'000;
constexpr std::size_t kSpeedsApart = 3;

std::vector<double> spread_out(double middle, double span, int count) {  // tidy: unit the caller's
  if (count < 2 || span == 0.0) return {middle};
  std::vector<double> values;
  for (int k = 0; k < count; ++k) values.push_back(middle - span + 2.0 * span * k / (count - 1));
  return values;
}

std::vector<double> speeds_mps(const TuningSection& tuning) {
  std::vector<double> speeds;
  for (int k = 0; k < tuning.speeds; ++k)
    speeds.push_back(tuning.slowest_mps +
                     (tuning.fastest_mps - tuning.slowest_mps) * k / (tuning.speeds - 1));
  return speeds;
}

std::vector<double> known_temperatures_k(const DelayInputs& inputs, DelayPlan& plan) {
  std::vector<double> known;
  const Scenario& scenario = inputs.scenario;
  for (const double k :
       spread_out(scenario.liquid.temperature_k, scenario.tuning.temperature_span_k, 3)) {
    try {
      inputs.liquid_at(k);
      known.push_back(k);
    } catch (const InputError& error) {
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

void check(const Scenario& scenario) {
  const TuningSection& tuning = scenario.tuning;
  if (tuning.speeds < 2 || !(tuning.fastest_mps > 1.05 * tuning.slowest_mps))
    throw InputError(fmt::format(
        "{}: tuning.speeds: one speed cannot tell a time error from a distance error: D = a + b/v "
        "needs two, such as tuning.slowest = \"{:.1f} km/h\", tuning.fastest = \"{:.1f} km/h\", "
        "tuning.speeds = 2",
        scenario.name, 0.5 * tuning.fastest_mps * 3.6, tuning.fastest_mps * 3.6));
}

void add_fit(const DelayInputs& inputs, DelayPlan& plan) {
  const Scenario& scenario = inputs.scenario;
  const TuningSection& tuning = scenario.tuning;
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
        // Latin: neither follows speed, rate or temperature alone
        one.voltage_v = plan.voltages_v[(s + r + t) % plan.voltages_v.size()];
        one.spacing_m =
            spacings[(s + 2 * r + t) % spacings.size()] * scenario.seeding.meter.spacing_m;
        const std::size_t rows_of =
            (r * plan.temperatures_k.size() + t) * kSpeedsApart + s % kSpeedsApart;
        one.rng_key = replica_key(scenario.rng_key, kFitKeys + rows_of);
        if (one.rate_m3pm2 * scenario.row.width_m * one.speed_mps >
            largest_flow_m3ps(inputs, one)) {
          ++plan.not_deliverable;
        } else {
          plan.fit.push_back(one);
        }
      }
}

void add_report(const DelayInputs& inputs, DelayPlan& plan) {
  const Scenario& scenario = inputs.scenario;
  const std::vector<double> temperatures = half_ways(plan.temperatures_k);
  const std::vector<double> voltages = half_ways(plan.voltages_v);
  const std::vector<double> spacings =
      half_ways(spread_out(1.0, scenario.tuning.spacing_span_ratio, 3));
  const std::vector<double> speeds = half_ways(speeds_mps(scenario.tuning));
  for (std::size_t s = 0; s < speeds.size(); ++s)
    for (std::size_t key = 0; key < kReportKeys; ++key) {
      DelayCondition one;
      one.speed_mps = speeds[s];
      one.rate_m3pm2 = scenario.rate.in_band_m3pm2;
      one.temperature_k = temperatures[key % temperatures.size()];
      one.voltage_v = voltages[(s + key) % voltages.size()];
      one.spacing_m = spacings[(key + s / 2) % spacings.size()] * scenario.seeding.meter.spacing_m;
      one.rng_key = replica_key(scenario.rng_key, kReportFirstKey + key);
      if (one.rate_m3pm2 * scenario.row.width_m * one.speed_mps <= largest_flow_m3ps(inputs, one))
        plan.report.push_back(one);
    }
}

}  // namespace

double largest_flow_m3ps(const DelayInputs& inputs, const DelayCondition& condition) {
  const Scenario& scenario = inputs.scenario;
  if (scenario.row.physics == RowPhysics::kIdeal) return HUGE_VAL;
  model::RowUnitParams row = nominal_liquid_path(scenario);
  row.liquid = inputs.liquid_at(condition.temperature_k);
  return model::steady_flow_m3ps(row, scenario.supply.pressure_pa, row.valve.plunger.travel_m);
}

Scenario condition_scenario(const DelayInputs& inputs, const DelayCondition& condition) {
  Scenario scenario = inputs.scenario;
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
        {.kind = PressureSag::kName, .amount_ratio = 1.0 - condition.pressure_ratio}};
  scenario.rng_key = condition.rng_key;
  return scenario;
}

DelayPlan plan_delay_study(const DelayInputs& inputs) {
  const Scenario& scenario = inputs.scenario;
  check(scenario);
  DelayPlan plan;
  plan.temperatures_k = known_temperatures_k(inputs, plan);
  plan.voltages_v = spread_out(scenario.supply.voltage_v, scenario.tuning.voltage_span_v, 3);
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
    throw InputError(fmt::format(
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

}  // namespace sim
