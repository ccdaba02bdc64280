// The rate plan as JSON and CSV: one list of figures, written in both.
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/study/rate/rate_sheet.h"
#include "sim/study/rate/rate_words.h"

namespace sim::rate {
namespace {

using Json = nlohmann::ordered_json;

struct Figure {
  std::string key;
  double value_si = 0.0;  // tidy: unit beside it
  std::string unit;
};

std::vector<Figure> figures_of(const RateResult& r) {
  const Delivery& d = r.delivery;
  const CatchTest caught = catch_test_of(r);
  std::vector<Figure> figures = {
      {"treated_ratio", r.treated_ratio, "1"},
      {"in_band_rate_m3pm2", r.in_band_m3pm2, "m3/m2"},
      {"field_rate_m3pm2", r.average_m3pm2, "m3/m2"},
      {"stream_rate_m3pm2", r.stream_m3pm2, "m3/m2"},
      {"volume_per_seed_m3", r.seed_m3, "m3"},
      {"row_mean_m3pm", r.row_m3pm, "m3/m"},
      {"row_in_band_m3pm", r.in_band_row_m3pm, "m3/m"},
      {"area_m2", r.plan.area_m2, "m2"},
      {"needed_m3", r.needed_m3, "m3"},
      {"needed_money", r.needed_money, r.plan.product.currency},
      {"kept_rate_m3pm2", r.kept_m3pm2, "m3/m2"},
      {"kept_m3", r.kept_m3, "m3"},
      {"kept_money", r.kept_money, r.plan.product.currency},
      {"tank_area_m2", r.tank_m2, "m2"},
      {"tank_time_s", r.tank_time_s, "s"},
      {"refills", static_cast<double>(r.refills.size()), "1"},
      {"stream_tank_area_m2", r.stream_tank_m2, "m2"},
      {"stream_refills", static_cast<double>(r.stream_refills.size()), "1"},
      {"row_flow_mean_m3ps", d.mean_flow_m3ps, "m3/s"},
      {"row_flow_in_band_m3ps", d.peak_flow_m3ps, "m3/s"},
      {"pressure_pa", d.pressure_pa, "Pa"},
      {"lift_m", r.plan.scenario.attachment.valve.plunger.travel_m, "m"},
      {"margin_up_ratio", d.margin_up_ratio, "1"},
      {"margin_down_ratio", d.margin_down_ratio, "1"},
      {"slowest_mps", d.slowest_mps, "m/s"},
      {"fastest_mps", d.fastest_mps, "m/s"},
      {"seeds_hz", r.seeds_hz, "1/s"},
      {"told_apart_hz", r.told_apart_hz, "1/s"},
      {"duty_ratio", r.duty_ratio, "1"},
      {"valve_cycles", r.cycles_ratio, "1"},
      {"valve_volume_m3", r.valve_m3, "m3"},
      {"season_m2", r.season_m2, "m2"},
      {"power_w", r.power_w, "W"},
      {"catch_30s_m3", caught.in_30s_m3, "m3"},
      {"catch_500_pulses_m3", caught.in_500_pulses_m3, "m3"},
      {"n_kgpm2", r.average.n_kgpm2, "kg/m2"},
      {"p2o5_kgpm2", r.average.p2o5_kgpm2, "kg/m2"},
      {"k2o_kgpm2", r.average.k2o_kgpm2, "kg/m2"},
      {"n_in_band_kgpm2", r.in_band.n_kgpm2, "kg/m2"},
      {"p2o5_in_band_kgpm2", r.in_band.p2o5_kgpm2, "kg/m2"},
      {"k2o_in_band_kgpm2", r.in_band.k2o_kgpm2, "kg/m2"}};
  if (r.life.known) {
    figures.push_back({"life_area_m2", r.life.area_m2 * r.plan.scenario.row.count, "m2"});
    figures.push_back({"life_time_s", r.life.time_s, "s"});
  }
  return figures;
}

const char* trouble_word(RateTrouble trouble) {
  switch (trouble) {
    case RateTrouble::kNotDeliverable: return "not deliverable";
    case RateTrouble::kOverLabel: return "over the label";
    case RateTrouble::kUrea: return "urea with the seed";
    case RateTrouble::kOverLimit: return "over a published limit";
    case RateTrouble::kNone: break;
  }
  return "none";
}

Json refill_fields(const std::vector<TankRefill>& refills) {
  Json list = Json::array();
  for (const TankRefill& one : refills)
    list.push_back({{"after_m2", output::number_or_null(one.after_m2)},
                    {"pass", one.pass},
                    {"along_m", output::number_or_null(one.along_m)},
                    {"zone", one.zone}});
  return list;
}

}  // namespace

std::string rate_json(const RateResult& result) {
  Json figures = Json::object();
  for (const Figure& one : figures_of(result))
    figures[one.key] = output::number_or_null(one.value_si);
  Json zones = Json::array();
  for (const ZonePlan& one : result.zones)
    zones.push_back({{"name", one.zone.name},
                     {"area_m2", output::number_or_null(one.zone.area_m2)},
                     {"in_band_rate_m3pm2", output::number_or_null(one.zone.in_band_m3pm2)},
                     {"field_rate_m3pm2", output::number_or_null(one.average_m3pm2)},
                     {"volume_m3", output::number_or_null(one.volume_m3)},
                     {"pressure_pa", output::number_or_null(one.delivery.pressure_pa)},
                     {"served", one.delivery.served},
                     {"slowest_mps", output::number_or_null(one.delivery.slowest_mps)},
                     {"fastest_mps", output::number_or_null(one.delivery.fastest_mps)},
                     {"rise_ahead_m", output::number_or_null(one.rise_ahead_m)}});
  Json limits = Json::array();
  for (const SeedLimit& one : result.limits)
    limits.push_back(
        {{"source", one.source}, {"n_plus_k2o_kgpm2", output::number_or_null(one.limit_kgpm2)}});
  return output::json_text({{"schema", "sillion.rate.1"},
                            {"name", result.plan.name},
                            {"title", result.plan.title},
                            {"sentence", rate_sentence(result, output::Units::kMetric)},
                            {"trouble", trouble_word(result.trouble)},
                            {"warnings", rate_warnings(result, output::Units::kMetric)},
                            {"continuous", result.continuous},
                            {"figures", figures},
                            {"refills", refill_fields(result.refills)},
                            {"stream_refills", refill_fields(result.stream_refills)},
                            {"zones", zones},
                            {"limits", limits}});
}

std::string rate_csv(const RateResult& result) {
  std::string text = "key,value,unit\n";
  const auto line = [&](const std::string& key, double value_si, const std::string& unit) {
    text += key + "," + output::number_text(value_si) + "," + unit + "\n";
  };
  for (const Figure& one : figures_of(result)) line(one.key, one.value_si, one.unit);
  for (std::size_t k = 0; k < result.refills.size(); ++k)
    line("refill_" + std::to_string(k) + "_after_m2", result.refills[k].after_m2, "m2");
  for (std::size_t k = 0; k < result.stream_refills.size(); ++k)
    line("stream_refill_" + std::to_string(k) + "_after_m2", result.stream_refills[k].after_m2,
         "m2");
  for (std::size_t k = 0; k < result.zones.size(); ++k) {
    const std::string zone = "zone_" + std::to_string(k) + "_";
    line(zone + "area_m2", result.zones[k].zone.area_m2, "m2");
    line(zone + "in_band_rate_m3pm2", result.zones[k].zone.in_band_m3pm2, "m3/m2");
    line(zone + "field_rate_m3pm2", result.zones[k].average_m3pm2, "m3/m2");
    line(zone + "pressure_pa", result.zones[k].delivery.pressure_pa, "Pa");
    line(zone + "fastest_mps", result.zones[k].delivery.fastest_mps, "m/s");
  }
  return text;
}

}  // namespace sim::rate
