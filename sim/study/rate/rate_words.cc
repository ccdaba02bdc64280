#include "sim/study/rate/rate_words.h"

#include <fmt/format.h>

#include <cmath>

#include "shared/units.h"
#include "sim/output/cautions.h"
#include "sim/output/number_text.h"
#include "sim/output/shown_units.h"

namespace sim::rate {
namespace {

std::string rate(double rate_m3pm2, output::Units units) {
  return output::shown(rate_m3pm2, output::Measure::kRate, units);
}

std::string money(double amount, const Product& product) {  // tidy: unit is the currency
  return fmt::format("{} {}", output::fixed_text(amount, 0), product.currency);
}

std::string percent(double share_ratio) {
  return output::shown(share_ratio, output::Measure::kShare, output::Units::kMetric);
}

std::string speed(double speed_mps, output::Units units) {
  return output::shown(speed_mps, output::Measure::kSpeed, units);
}

/// What would make a rate deliverable.
std::string remedy(const RateResult& result, const Delivery& delivery, output::Units units) {
  if (delivery.margin_up_ratio < 0.0)
    return fmt::format(
        "at most {} at this speed; slower than {}, more pressure than {}, or a wider "
        "outlet would serve it",
        output::shown(delivery.highest_m3ps, output::Measure::kFlow, units),
        speed(delivery.fastest_mps, units),
        output::shown(result.plan.scenario.supply.pressure_pa, output::Measure::kPressure, units));
  return fmt::format(
      "at least {} at the lowest pressure; faster than {} or a smaller outlet would "
      "serve it",
      output::shown(delivery.lowest_m3ps, output::Measure::kFlow, units),
      speed(delivery.slowest_mps, units));
}

std::string not_deliverable(const RateResult& result, output::Units units) {
  for (const ZonePlan& zone : result.zones)
    if (!zone.delivery.served)
      return fmt::format("Not deliverable: zone {} needs {} per row in the band; {}",
                         zone.zone.name,
                         output::shown(zone.delivery.peak_flow_m3ps, output::Measure::kFlow, units),
                         remedy(result, zone.delivery, units));
  return fmt::format("Not deliverable: {} in the band is {} per row; {}",
                     rate(result.in_band_m3pm2, units),
                     output::shown(result.delivery.peak_flow_m3ps, output::Measure::kFlow, units),
                     remedy(result, result.delivery, units));
}

std::string over_limit(const RateResult& result, output::Units units) {
  const SeedLimit& limit = result.limits.front();
  const double has_kgpm2 = result.in_band.salt_kgpm2();
  return fmt::format(
      "In the band {} N + K2O, limit {} for {} soil, continuous stream: over by {} "
      "({})",
      shown_mass_rate(has_kgpm2, units), shown_mass_rate(limit.limit_kgpm2, units),
      soil_word(result.plan.soil),
      output::fixed_text((has_kgpm2 / limit.limit_kgpm2 - 1.0) * 100.0, 0) + " %", limit.source);
}

std::string over_label(const RateResult& result, output::Units units) {
  const double width_m = result.plan.scenario.row.width_m;
  const double label_m3pm2 = result.plan.product.label_m3pm2;
  return fmt::format(
      "In the band {} of row, the label's upper limit is {}: over by {} %",
      output::shown(result.highest_in_band_m3pm2 * width_m, output::Measure::kLineDose, units),
      output::shown(label_m3pm2 * width_m, output::Measure::kLineDose, units),
      output::fixed_text((result.highest_in_band_m3pm2 / label_m3pm2 - 1.0) * 100.0, 0));
}

constexpr const char* kUreaWords =
    "Urea or UAN with the seed: the in-furrow table allows none, at any rate";

double three_digits(double value_ratio) {
  double unit_ratio = 1.0;
  while (value_ratio / unit_ratio >= 1000.0) unit_ratio *= 10.0;
  return std::round(value_ratio / unit_ratio) * unit_ratio;
}

std::string life_words(const RateResult& result, output::Units units) {
  if (!result.life.known) return "not known: the scenario states no life";
  const double hectares_m2 = result.life.area_m2 * result.plan.scenario.row.count;
  // A life is an estimate: three digits are enough.
  const double shown_m2 = units == output::Units::kUs ? shared::kAcre_m2 : shared::kHectare_m2;
  return fmt::format("{}, {} h, {} seasons",
                     shown_area(three_digits(hectares_m2 / shown_m2) * shown_m2, units, 0),
                     output::fixed_text(three_digits(result.life.time_s / shared::kHour_s), 0),
                     output::fixed_text(hectares_m2 / result.season_m2, 1));
}

constexpr std::size_t kRefillsInWords = 2;

std::string refill_words(const RateResult& result, const std::vector<TankRefill>& refills,
                         output::Units units) {
  if (result.plan.tank_m3 <= 0.0) return "no tank stated";
  if (refills.empty()) return "none: one tank serves the field";
  std::string words = fmt::format("{}: after ", refills.size());
  for (std::size_t k = 0; k < refills.size(); ++k) {
    // A small tank needs dozens of refills: rate.json lists all, the text the first two and the
    // last.
    const bool skips = k == kRefillsInWords && k + 1 < refills.size();
    if (skips) k = refills.size() - 1;
    const TankRefill& refill = refills[k];
    if (k > 0) words += skips ? ", and so on; the last after " : ", ";
    words += shown_area(refill.after_m2, units);
    if (refill.pass > 0)
      words += fmt::format(" (pass {}, {} along)", refill.pass,
                           output::shown(refill.along_m, output::Measure::kDistance, units, 0));
    if (!refill.zone.empty()) words += " in " + refill.zone;
  }
  return words;
}

/// Compared with an unbroken stream: what stays in the tank, or what leaves it beyond that stream.
RateLine kept_line(const RateResult& result, output::Units units) {
  const Product& product = result.plan.product;
  const bool stays = result.kept_m3pm2 >= 0.0;
  std::string amount = rate(std::abs(result.kept_m3pm2), units) + ", " +
                       output::shown(std::abs(result.kept_m3), output::Measure::kVolume, units, 0);
  if (product.price_perm3 > 0.0) amount += ", worth " + money(std::abs(result.kept_money), product);
  return {
      (stays ? "Stays in the tank against a stream of " : "Leaves the tank beyond a stream of ") +
          rate(result.stream_m3pm2, units),
      amount};
}

}  // namespace

std::string shown_mass_rate(double rate_kgpm2, output::Units units) {
  return units == output::Units::kUs
             ? output::fixed_text(rate_kgpm2 / kPoundPerAcre_kgpm2, 1) + " lb/ac"
             : output::fixed_text(rate_kgpm2 / kKilogramPerHectare_kgpm2, 1) + " kg/ha";
}

std::string shown_area(double area_m2, output::Units units, int decimals) {
  return units == output::Units::kUs
             ? output::fixed_text(area_m2 / shared::kAcre_m2, decimals) + " ac"
             : output::fixed_text(area_m2 / shared::kHectare_m2, decimals) + " ha";
}

std::string rate_sentence(const RateResult& result, output::Units units) {
  switch (result.trouble) {
    case RateTrouble::kOverLimit: return over_limit(result, units);
    case RateTrouble::kUrea: return kUreaWords;
    case RateTrouble::kOverLabel: return over_label(result, units);
    case RateTrouble::kNotDeliverable: return not_deliverable(result, units);
    case RateTrouble::kNone: break;
  }
  if (result.plan.scenario.rate.continuous)
    return fmt::format("Enter {} as a continuous stream; the field takes the same",
                       rate(result.in_band_m3pm2, units));
  if (result.continuous)
    return fmt::format(
        "Enter {}: bands touch at this spacing, so it is a stream and the field takes "
        "the same",
        rate(result.in_band_m3pm2, units));
  return fmt::format("Enter {} in the band; the field takes {}", rate(result.in_band_m3pm2, units),
                     rate(result.average_m3pm2, units));
}

std::vector<std::string> rate_warnings(const RateResult& result, output::Units units) {
  const RatePlan& plan = result.plan;
  const Product& product = plan.product;
  std::vector<std::string> warnings;
  if (result.trouble > RateTrouble::kNotDeliverable) {
    if (!result.delivery.served) warnings.push_back(not_deliverable(result, units));
  }
  if (result.trouble != RateTrouble::kUrea && product.urea &&
      product.kind == ProductKind::kFertiliser)
    warnings.push_back(kUreaWords);
  if (product.kind == ProductKind::kFertiliser) {
    const std::string crop = crop_warning(plan.crop);
    if (!crop.empty()) warnings.push_back(crop);
    if (!product.graded)
      warnings.push_back(
          "No grade is stated: how much N and K2O the seed is exposed to is not known here.");
    warnings.push_back(
        "Limits were written for continuous streams, and no published limit for pulsed bands is "
        "known: the figure inside the band is what a seed in the band is exposed to.");
    warnings.push_back(
        "Sandy or dry soil lowers what seed tolerates by 20 to 40 %. Follow the label, and ask the "
        "local extension service or a licensed adviser.");
  }
  if (product.kind == ProductKind::kBiological) {
    warnings.push_back(
        "Living product: do a jar test with everything that shares the tank, and keep to the "
        "water, temperature and time of its label.");
    if (product.tank_life_s > 0.0 && result.tank_time_s > product.tank_life_s)
      warnings.push_back(
          fmt::format("A full tank takes {} h to lay down, and the mix keeps for {} h.",
                      output::fixed_text(result.tank_time_s / shared::kHour_s, 1),
                      output::fixed_text(product.tank_life_s / shared::kHour_s, 1)));
  }
  if (product.kind == ProductKind::kPesticide)
    warnings.emplace_back(output::words_of(output::Caution::kPesticideLabel));
  const double now_k = plan.scenario.liquid.temperature_k;
  if (product.coldest_k > 0.0 && now_k < product.coldest_k)
    warnings.push_back(
        fmt::format("{} is colder than the product may be ({}).",
                    output::shown(now_k, output::Measure::kTemperature, units),
                    output::shown(product.coldest_k, output::Measure::kTemperature, units)));
  if (product.warmest_k > 0.0 && now_k > product.warmest_k)
    warnings.push_back(
        fmt::format("{} is warmer than the product may be ({}).",
                    output::shown(now_k, output::Measure::kTemperature, units),
                    output::shown(product.warmest_k, output::Measure::kTemperature, units)));
  if (result.seeds_hz > result.told_apart_hz && !result.continuous)
    warnings.push_back(fmt::format(
        "{} seeds per second are more than the {} up to which bands can be "
        "told apart: the valve will run as a stream.",
        output::fixed_text(result.seeds_hz, 1), output::fixed_text(result.told_apart_hz, 1)));
  return warnings;
}

std::vector<RateLine> rate_lines(const RateResult& result, output::Units units) {
  const scenario::Scenario& scenario = result.plan.scenario;
  const Product& product = result.plan.product;
  const Delivery& delivery = result.delivery;
  std::vector<RateLine> lines = {
      {"In-band rate", rate(result.in_band_m3pm2, units)},
      {"Field-average rate", rate(result.average_m3pm2, units)},
      {"Share of furrow treated", percent(result.treated_ratio) + ", overlaps counted once"},
      {"Volume per seed", output::shown(result.seed_m3, output::Measure::kDose, units)},
      {"Per length of row, mean",
       output::shown(result.row_m3pm, output::Measure::kLineDose, units)},
      {"Per length of row, in band",
       output::shown(result.in_band_row_m3pm, output::Measure::kLineDose, units)},
      {"Product needed",
       output::shown(result.needed_m3, output::Measure::kVolume, units, 0) +
           (product.price_perm3 > 0.0 ? ", " + money(result.needed_money, product) : "")}};
  // Where a limit is exceeded, nothing in favour of the plan is shown beside it.
  if (result.trouble == RateTrouble::kNone || result.trouble == RateTrouble::kNotDeliverable)
    lines.push_back(kept_line(result, units));
  lines.insert(
      lines.end(),
      {{"One tank serves", result.tank_m2 > 0.0
                               ? shown_area(result.tank_m2, units) + " in " +
                                     output::fixed_text(result.tank_time_s / 3600.0, 1) + " h"
                               : "no tank stated"},
       {"Refills of this plan", refill_words(result, result.refills, units)},
       {fmt::format("Refills of a stream of {}", rate(result.stream_m3pm2, units)),
        refill_words(result, result.stream_refills, units)},
       {"Flow per row, mean; in band",
        output::shown(delivery.mean_flow_m3ps, output::Measure::kFlow, units) + "; " +
            output::shown(delivery.peak_flow_m3ps, output::Measure::kFlow, units)},
       {"Pressure at full lift",
        fmt::format("{}, lift {}",
                    output::shown(delivery.pressure_pa, output::Measure::kPressure, units),
                    output::shown(scenario.attachment.valve.plunger.travel_m,
                                  output::Measure::kBore, units))},
       {"Flow margin up; down", fmt::format("{}; {}", percent(delivery.margin_up_ratio),
                                            percent(delivery.margin_down_ratio))},
       {"Rate held from; to",
        speed(delivery.slowest_mps, units) + "; " + speed(delivery.fastest_mps, units)},
       {"Seeds per second", output::fixed_text(result.seeds_hz, 1) + ", bands told apart up to " +
                                output::fixed_text(result.told_apart_hz, 1)},
       {"Valve open", percent(result.duty_ratio) + " of the time"},
       {"Each valve this season",
        fmt::format("{} million cycles, {}", output::fixed_text(result.cycles_ratio * 1e-6, 2),
                    output::shown(result.valve_m3, output::Measure::kVolume, units, 0))},
       {"To the next plunger and seat", life_words(result, units)},
       {"Power of all valves", output::fixed_text(result.power_w, 0) + " W"}});
  return lines;
}

std::vector<RateLine> seed_lines(const RateResult& result, output::Units units) {
  std::vector<RateLine> lines;
  if (!result.plan.product.graded) return lines;
  const auto both = [&](double average_kgpm2, double in_band_kgpm2) {
    return shown_mass_rate(average_kgpm2, units) + "; " + shown_mass_rate(in_band_kgpm2, units);
  };
  const Nutrients& mean = result.average;
  const Nutrients& band = result.in_band;
  lines.push_back({"N, field average; in band", both(mean.n_kgpm2, band.n_kgpm2)});
  lines.push_back({"P2O5, field average; in band", both(mean.p2o5_kgpm2, band.p2o5_kgpm2)});
  lines.push_back({"K2O, field average; in band", both(mean.k2o_kgpm2, band.k2o_kgpm2)});
  lines.push_back({"N + K2O, field average; in band", both(mean.salt_kgpm2(), band.salt_kgpm2())});
  if (result.plan.product.salt_index_ratio > 0.0)
    lines.push_back({"Salt index", output::fixed_text(result.plan.product.salt_index_ratio, 1)});
  lines.push_back(
      {"Jet to seed line",
       fmt::format("{}; limits are for product in the furrow, {} of soil between seed and product "
                   "is called enough (University of Minnesota)",
                   output::shown(result.plan.scenario.attachment.lateral_clearance_m,
                                 output::Measure::kPlace, units),
                   output::shown(2.0 * shared::kInch_m, output::Measure::kPlace, units, 0))});
  for (const SeedLimit& limit : result.limits)
    lines.push_back(
        {"Limit of N + K2O: " + limit.source,
         fmt::format("{}, {}; in band {} %, field average {} % of it",
                     shown_mass_rate(limit.limit_kgpm2, units), soil_word(result.plan.soil),
                     output::fixed_text(band.salt_kgpm2() / limit.limit_kgpm2 * 100.0, 0),
                     output::fixed_text(mean.salt_kgpm2() / limit.limit_kgpm2 * 100.0, 0))});
  return lines;
}

std::string catch_test_text(const RateResult& result, output::Units units) {
  const CatchTest test = catch_test_of(result);
  const output::Measure measure =
      units == output::Units::kUs ? output::Measure::kDose : output::Measure::kVolume;
  const auto amount = [&](double volume_m3) {
    if (units == output::Units::kUs) return output::shown(volume_m3, measure, units, 2);
    return output::fixed_text(volume_m3 * 1e6, 1) + " ml";
  };
  const auto range = [&](double volume_m3) {
    return fmt::format("{} (pass: {} to {})", amount(volume_m3),
                       amount(volume_m3 * (1.0 - test.limit_ratio)),
                       amount(volume_m3 * (1.0 + test.limit_ratio)));
  };
  return fmt::format(
      "Catch test, each row, machine standing, speed set to {}:\n"
      "  in 30 s ({} pulses): {}\n  in 500 pulses: {}\n"
      "Limits of 10 % are common practice, no source. {}\n",
      speed(test.speed_mps, units), output::fixed_text(test.pulses_in_30s, 0),
      range(test.in_30s_m3), range(test.in_500_pulses_m3),
      output::paragraph_of({output::Caution::kBenchPulses, output::Caution::kLinesHoldPressure}));
}

}  // namespace sim::rate
