#include "sim/study/rate/rate_study.h"

#include <algorithm>
#include <cmath>

#include "model/row/row_unit.h"
#include "sim/bench/row_fixed.h"
#include "sim/scenario/catalog.h"
#include "sim/scenario/delay_file.h"
#include "sim/study/rate/rate.h"
#include "sim/study/rate/treated_share.h"
#include "sim/study/tune/tune_once.h"

namespace sim::rate {
namespace {

/// A gap of less than this share of the way is the rounding of the treated share.
constexpr double kUnbroken_ratio = 1e-9;
constexpr double kSettles_ratio = 3.0;  // time constants until 95 % of a pressure step is reached

double spacing_m(const scenario::Scenario& scenario) {
  const model::SeedMeterParams& meter = scenario.seeding.meter;
  if (scenario.seeding.spacings_m.empty()) return meter.spacing_m / seeds_per_slot_ratio(meter);
  double sum_m = 0.0;
  for (const double one_m : scenario.seeding.spacings_m) sum_m += one_m;
  return sum_m / static_cast<double>(scenario.seeding.spacings_m.size());
}

/// The valve's shortest closed time: from the scenario's delay table, or from the table beside the
/// attachment where that was tuned on these very keys, else simulated.
double shortest_closed_s(const RatePlan& plan) {
  const scenario::Scenario& scenario = plan.scenario;
  if (scenario.controller.delay == scenario::DelaySource::kTable)
    return scenario.controller.given.shortest_closed_us * 1e-6;
  const std::filesystem::path file = scenario::delay_file_of(scenario.attachment.name, plan.folder);
  if (!file.empty()) {
    const scenario::DelayFile table = scenario::read_delay_file(file);
    scenario::AttachmentSection tuned = scenario.attachment;
    tuned.valve.wear.life_cycles_ratio = 0.0;  // the stated life does not change the timing
    tuned.valve.wear.life_volume_m3 = 0.0;
    if (table.evidence.attachment_sum == scenario::attachment_sum(tuned))
      return table.table.shortest_closed_us * 1e-6;
  }
  return tune::tune_once(scenario).shortest_closed_s;
}

Delivery delivery_of(const scenario::Scenario& scenario, double in_band_m3pm2,
                     double treated_ratio) {
  const double speed_mps = tune::judged_speed_mps(scenario);
  const double per_mps = row_flow_m3ps(in_band_m3pm2, scenario.row.width_m, 1.0);
  const model::RowUnitParams path = bench::nominal_liquid_path(scenario);
  const double travel_m = scenario.attachment.valve.plunger.travel_m;
  Delivery delivery{.peak_flow_m3ps = per_mps * speed_mps,
                    .mean_flow_m3ps = per_mps * speed_mps * treated_ratio};
  delivery.lowest_m3ps = model::steady_flow_m3ps(path, scenario.supply.pressure_min_pa, travel_m);
  delivery.highest_m3ps = model::steady_flow_m3ps(path, scenario.supply.pressure_pa, travel_m);
  delivery.pressure_pa = tune::pressure_for_flow_pa(scenario, delivery.peak_flow_m3ps);
  delivery.margin_up_ratio = delivery.highest_m3ps / delivery.peak_flow_m3ps - 1.0;
  delivery.margin_down_ratio = 1.0 - delivery.lowest_m3ps / delivery.peak_flow_m3ps;
  delivery.slowest_mps = delivery.lowest_m3ps / per_mps;
  delivery.fastest_mps = delivery.highest_m3ps / per_mps;
  delivery.served = delivery.margin_up_ratio >= 0.0 && delivery.margin_down_ratio >= 0.0;
  return delivery;
}

void plan_zones(RateResult& result) {
  const scenario::Scenario& scenario = result.plan.scenario;
  double volume_m3 = 0.0, band_m3 = 0.0;
  for (const Zone& zone : result.plan.zones) {
    ZonePlan plan{.zone = zone};
    plan.average_m3pm2 = field_average_rate_m3pm2(zone.in_band_m3pm2, result.treated_ratio);
    plan.volume_m3 = plan.average_m3pm2 * zone.area_m2;
    plan.delivery = delivery_of(scenario, zone.in_band_m3pm2, result.treated_ratio);
    if (!result.zones.empty()) {
      if (plan.delivery.pressure_pa > result.zones.back().delivery.pressure_pa)
        plan.rise_ahead_m =
            kSettles_ratio * scenario.supply.pressure_lag_s * tune::judged_speed_mps(scenario);
    }
    volume_m3 += plan.volume_m3;
    band_m3 += zone.in_band_m3pm2 * zone.area_m2;
    result.highest_in_band_m3pm2 = std::max(result.highest_in_band_m3pm2, zone.in_band_m3pm2);
    result.zones.push_back(std::move(plan));
  }
  result.average_m3pm2 = volume_m3 / result.plan.area_m2;
  result.in_band_m3pm2 = band_m3 / result.plan.area_m2;
  // The machine is judged by the zone with the least margin.
  result.delivery =
      std::min_element(result.zones.begin(), result.zones.end(),
                       [](const ZonePlan& a, const ZonePlan& b) {
                         return std::min(a.delivery.margin_up_ratio, a.delivery.margin_down_ratio) <
                                std::min(b.delivery.margin_up_ratio, b.delivery.margin_down_ratio);
                       })
          ->delivery;
}

/// A part of the field under one rate.
struct Stretch {
  std::string zone;
  double area_m2 = 0.0;
  double rate_m3pm2 = 0.0;
};

/// Where the tank runs empty: the field is driven in passes, the zones in their order.
std::vector<TankRefill> refills_of(const RatePlan& plan, const std::vector<Stretch>& field) {
  std::vector<TankRefill> refills;
  const double pass_m2 = plan.pass_length_m * plan.scenario.row.count * plan.scenario.row.width_m;
  double done_m2 = 0.0, left_m3 = plan.tank_m3;
  for (const Stretch& stretch : field) {
    const double end_m2 = done_m2 + stretch.area_m2;
    while ((end_m2 - done_m2) * stretch.rate_m3pm2 > left_m3 * (1.0 + 1e-12)) {
      done_m2 += left_m3 / stretch.rate_m3pm2;
      left_m3 = plan.tank_m3;
      TankRefill refill{.after_m2 = done_m2, .zone = stretch.zone};
      if (pass_m2 > 0.0) {
        refill.pass = static_cast<int>(done_m2 / pass_m2) + 1;
        refill.along_m = (done_m2 - pass_m2 * (refill.pass - 1)) / pass_m2 * plan.pass_length_m;
      }
      refills.push_back(std::move(refill));
    }
    left_m3 -= (end_m2 - done_m2) * stretch.rate_m3pm2;
    done_m2 = end_m2;
  }
  return refills;
}

/// Refills of the plan, and of an unbroken stream over the same field.
void plan_refills(RateResult& result) {
  const RatePlan& plan = result.plan;
  if (plan.tank_m3 <= 0.0) return;
  result.tank_m2 = plan.tank_m3 / result.average_m3pm2;
  result.stream_tank_m2 = plan.tank_m3 / result.stream_m3pm2;
  std::vector<Stretch> bands, stream;
  if (result.zones.empty()) {
    bands.push_back({"", plan.area_m2, result.average_m3pm2});
    stream.push_back({"", plan.area_m2, result.stream_m3pm2});
  }
  for (const ZonePlan& one : result.zones) {
    bands.push_back({one.zone.name, one.zone.area_m2, one.average_m3pm2});
    const double alone_m3pm2 = plan.former_m3pm2 > 0.0 ? plan.former_m3pm2 : one.zone.in_band_m3pm2;
    stream.push_back({one.zone.name, one.zone.area_m2, alone_m3pm2});
  }
  result.refills = refills_of(plan, bands);
  result.stream_refills = refills_of(plan, stream);
}

void plan_valves(RateResult& result) {
  const scenario::Scenario& scenario = result.plan.scenario;
  const double speed_mps = tune::judged_speed_mps(scenario);
  const double way_m = spacing_m(scenario);
  const double band_m = scenario.rate.band_length_m;
  result.seeds_hz = speed_mps / way_m;
  result.told_apart_hz = speed_mps / (band_m + speed_mps * shortest_closed_s(result.plan));
  result.duty_ratio = result.continuous ? 1.0 : std::min(1.0, band_m / way_m);
  result.season_m2 = result.plan.season_m2 > 0.0 ? result.plan.season_m2 : result.plan.area_m2;
  const double row_way_m = result.season_m2 / (scenario.row.count * scenario.row.width_m);
  result.cycles_ratio = result.continuous ? 0.0 : row_way_m / way_m;
  result.valve_m3 = result.average_m3pm2 * result.season_m2 / scenario.row.count;
  result.life =
      model::life_left(scenario.attachment.valve.wear, scenario.liquid.liquid.abrasiveness_ratio,
                       {.pulse_rate_hz = result.seeds_hz,
                        .dose_m3 = result.seed_m3,
                        .speed_mps = speed_mps,
                        .width_m = scenario.row.width_m});
  const model::Coil& coil = scenario.attachment.valve.coil;
  const double current_a =
      std::min(scenario.attachment.hold_current_a, scenario.supply.voltage_v / coil.resistance_ohm);
  result.power_w =
      current_a * current_a * coil.resistance_ohm * result.duty_ratio * scenario.row.count;
}

Nutrients nutrients_of(const Product& product, double rate_m3pm2) {
  const double mass_kgpm2 = rate_m3pm2 * product.density_kgpm3;
  return {mass_kgpm2 * product.grade_ratio[0], mass_kgpm2 * product.grade_ratio[1],
          mass_kgpm2 * product.grade_ratio[2]};
}

RateTrouble trouble_of(const RateResult& result) {
  const Product& product = result.plan.product;
  const bool fertiliser = product.kind == ProductKind::kFertiliser;
  if (fertiliser && !result.limits.empty() &&
      result.in_band.salt_kgpm2() > result.limits.front().limit_kgpm2)
    return RateTrouble::kOverLimit;
  if (fertiliser && product.urea) return RateTrouble::kUrea;
  if (product.label_m3pm2 > 0.0 && result.highest_in_band_m3pm2 > product.label_m3pm2)
    return RateTrouble::kOverLabel;
  const bool served = std::all_of(result.zones.begin(), result.zones.end(),
                                  [](const ZonePlan& zone) { return zone.delivery.served; });
  return result.delivery.served && served ? RateTrouble::kNone : RateTrouble::kNotDeliverable;
}

}  // namespace

double treated_share_ratio(const scenario::Scenario& scenario, double band_length_m) {
  if (scenario.rate.continuous) return 1.0;
  if (!scenario.seeding.spacings_m.empty())
    return treated_ratio(scenario.seeding.spacings_m, band_length_m);
  return expected_treated_ratio(scenario.seeding.meter, band_length_m);
}

BothRates rates_at(const RatePlan& plan, double treated_ratio) {
  switch (plan.given) {
    case RateGiven::kFieldAverage:
      return {plan.field_average_m3pm2 / treated_ratio, plan.field_average_m3pm2};
    case RateGiven::kFormer: {
      const BandRates rate =
          concentrated_rates(plan.former_m3pm2, treated_ratio, plan.concentrate_ratio);
      return {rate.in_band_m3pm2, rate.field_average_m3pm2};
    }
    case RateGiven::kInBand: break;
  }
  const double in_band_m3pm2 = plan.scenario.rate.in_band_m3pm2;
  return {in_band_m3pm2, field_average_rate_m3pm2(in_band_m3pm2, treated_ratio)};
}

RateResult study_rate(const RatePlan& plan) {
  RateResult result{.plan = plan};
  scenario::Scenario& scenario = result.plan.scenario;
  // Where every way between seeds lies in a band, bands touch and the valve stays open. With
  // scattered spacings that takes a band well longer than the mean spacing.
  result.treated_ratio = treated_share_ratio(scenario, scenario.rate.band_length_m);
  result.continuous = result.treated_ratio >= 1.0 - kUnbroken_ratio;
  if (result.continuous) result.treated_ratio = 1.0;
  if (plan.zones.empty()) {
    const BothRates rates = rates_at(plan, result.treated_ratio);
    result.in_band_m3pm2 = rates.in_band_m3pm2;
    result.average_m3pm2 = rates.average_m3pm2;
    result.highest_in_band_m3pm2 = rates.in_band_m3pm2;
    result.delivery = delivery_of(scenario, rates.in_band_m3pm2, result.treated_ratio);
  } else {
    plan_zones(result);
  }
  scenario.rate.in_band_m3pm2 = result.in_band_m3pm2;
  const double width_m = scenario.row.width_m;
  result.seed_m3 = result.average_m3pm2 * width_m * spacing_m(scenario);
  result.row_m3pm = row_rate_m3pm(result.average_m3pm2, width_m);
  result.in_band_row_m3pm = row_rate_m3pm(result.in_band_m3pm2, width_m);
  result.stream_m3pm2 = plan.former_m3pm2 > 0.0 ? plan.former_m3pm2 : result.in_band_m3pm2;
  result.kept_m3pm2 = result.stream_m3pm2 - result.average_m3pm2;
  result.kept_m3 = result.kept_m3pm2 * plan.area_m2;
  result.kept_money = result.kept_m3 * plan.product.price_perm3;
  result.needed_m3 = result.average_m3pm2 * plan.area_m2;
  result.needed_money = result.needed_m3 * plan.product.price_perm3;
  plan_refills(result);
  plan_valves(result);
  if (plan.tank_m3 > 0.0)
    result.tank_time_s = plan.tank_m3 / (result.average_m3pm2 * width_m * scenario.row.count *
                                         tune::judged_speed_mps(scenario));
  result.average = nutrients_of(plan.product, result.average_m3pm2);
  result.in_band = nutrients_of(plan.product, result.highest_in_band_m3pm2);
  if (plan.product.kind == ProductKind::kFertiliser && plan.product.graded)
    result.limits = seed_limits(plan.crop, plan.soil, width_m);
  result.trouble = trouble_of(result);
  return result;
}

scenario::Scenario planned_scenario(const RateResult& result) {
  scenario::Scenario scenario = result.plan.scenario;
  scenario.rate.continuous = result.continuous;
  return scenario;
}

CatchTest catch_test_of(const RateResult& result) {
  const scenario::Scenario& scenario = result.plan.scenario;
  CatchTest test{.speed_mps = tune::judged_speed_mps(scenario)};
  const double dose_m3 = result.in_band_m3pm2 * scenario.row.width_m *
                         std::min(scenario.rate.band_length_m, scenario.seeding.meter.spacing_m);
  test.pulses_in_30s = 30.0 * test.speed_mps / scenario.seeding.meter.spacing_m;
  test.in_30s_m3 =
      result.continuous ? 30.0 * result.delivery.peak_flow_m3ps : test.pulses_in_30s * dose_m3;
  test.in_500_pulses_m3 = 500.0 * dose_m3;
  return test;
}

}  // namespace sim::rate
