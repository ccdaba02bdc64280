// What the page draws of one row, in SI.
#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/study/page/page_keys.h"
#include "sim/study/page/page_row.h"
#include "sim/study/run/sentences.h"
#include "sim/study/run/summary_fields.h"
#include "sim/study/run/tables.h"

namespace sim::page {
namespace {

using PageJson = nlohmann::ordered_json;

PageJson seed_fields(const measure::RowRecord& row) {
  PageJson list = PageJson::array();
  for (const measure::SeedRecord& seed : row.seeds)
    list.push_back({{"x_m", output::number_or_null(seed.rest_x_ground_m)},
                    {"error_m", output::number_or_null(seed.placement_error_m)},
                    {"sensed", seed.sensed},
                    {"status", run::status_word(seed.status)}});
  return list;
}

PageJson band_fields(const measure::RowRecord& row) {
  PageJson list = PageJson::array();
  for (const measure::BandRecord& band : row.bands)
    list.push_back({{"start_m", output::number_or_null(band.start_x_ground_m)},
                    {"end_m", output::number_or_null(band.end_x_ground_m)},
                    {"centre_m", output::number_or_null(band.centre_x_ground_m)},
                    {"dose_m3", output::number_or_null(band.dose_m3)},
                    {"stray", band.stray}});
  return list;
}

/// Line density, in whole cubic millimetres per metre: finer than a screen shows.
PageJson density_fields(const measure::DensityWindow& window) {
  PageJson cells = PageJson::array();
  for (const double volume_m3pm : window.volume_m3pm)
    cells.push_back(static_cast<std::int64_t>(volume_m3pm * 1e9));
  return {{"from_m", window.from_x_ground_m}, {"cell_m", window.cell_m}, {"mm3_per_m", cells}};
}

PageJson delay_fields(const tune::TunedTable& tuned) {
  return {{"time_s", tuned.delay_time_s},
          {"distance_m", tuned.delay_distance_m},
          {"lead_s", output::number_or_null(tuned.lead_s)},
          {"lag_s", output::number_or_null(tuned.lag_s)},
          {"at_speed_s", output::number_or_null(tuned.delay_at_speed_s)}};
}

/// Values of the sliders as they were read, so that a field that states another unit moves them.
PageJson value_fields(const scenario::Scenario& scenario, output::Units units) {
  PageJson values = PageJson::object();
  for (const PageKey& key : page_keys(scenario, units)) {
    if (key.label.empty()) break;  // those with a slider stand first
    values[key.key] = {{"text", key.value},
                       {"number", number_in_unit_si(key.value_si, key.kind, key.unit)}};
  }
  return values;
}

}  // namespace

std::string row_json(const RowAnswer& answer, const PageInput& input, output::Units units) {
  const run::RunResult& result = answer.result;
  const scenario::Scenario& scenario = result.scenario;
  PageJson json;
  json["schema"] = "sillion.page.row.1";
  json["answer"] = answer.full ? "full" : "coarse";
  json["words"] = answer.words;
  json["command"] = input.command;
  json["sentence"] = result.record.fault.text.empty()
                         ? run::run_sentence(result, units)
                         : "The controller failed: " + result.record.fault.text;
  json["within"] = run::within_words(result.summary, units);
  json["wanted"] = {{"band_length_m", scenario.rate.band_length_m},
                    {"line_dose_m3pm", scenario.rate.in_band_m3pm2 * scenario.row.width_m},
                    {"continuous", scenario.rate.continuous}};
  const measure::RowRecord& row = result.record.rows.at(0);
  json["seeds"] = seed_fields(row);
  json["bands"] = band_fields(row);
  json["density"] = density_fields(row.density);
  run::add_figures(json["figures"], result.summary.all);
  json["jet"] = run::jet_fields(result.summary.jet);
  json["delay"] = delay_fields(result.tuned);
  json["requirements"] = run::requirement_fields(result.summary);
  json["values"] = value_fields(scenario, units);
  return json.dump() + "\n";
}

}  // namespace sim::page
