#include "sim/study/delay/today_tables.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/delay_file.h"
#include "sim/study/delay/holding_words.h"
#include "sim/study/run/seal.h"
#include "sim/text/quantity.h"

namespace sim::delay {
namespace {

using Json = nlohmann::ordered_json;

const char* limit_key(TodayLimit limit) {
  constexpr const char* kKeys[] = {"none",  "pressure", "closed", "offset",
                                   "valve", "delivery", "column", "spread"};
  return kKeys[static_cast<int>(limit)];
}

std::string machine_words(const scenario::Scenario& scenario, output::Units units) {
  return " (" + scenario.attachment.name + ", " +
         output::shown(scenario.liquid.temperature_k, output::Measure::kTemperature, units) +
         ", at most " +
         output::shown(scenario.supply.pressure_pa, output::Measure::kPressure, units) + ", " +
         output::shown(scenario.supply.voltage_v, output::Measure::kVoltage, units) + ")";
}

std::string closed_words(const TodayResult& today, output::Units units) {
  const std::string at = output::shown(today.pressure_needed_pa, output::Measure::kPressure, units);
  std::string text =
      "the valve cannot open at " +
      output::shown(today.scenario.supply.voltage_v, output::Measure::kVoltage, units) + " and " +
      at;
  if (std::isnan(today.opening_voltage_v))
    return text + ": its spring is stronger than the force of its hold current";
  return text + "; it opens from " +
         output::shown(today.opening_voltage_v, output::Measure::kVoltage, units);
}

Json unhashed(const TodayResult& today) {
  const scenario::Scenario& scenario = today.scenario;
  Json object = Json::object();
  object["schema"] = "sillion.today.1";
  object["attachment"] = scenario.attachment.name;
  object["temperature_k"] = output::number_or_null(scenario.liquid.temperature_k);
  object["pressure_pa"] = output::number_or_null(scenario.supply.pressure_pa);
  object["voltage_v"] = output::number_or_null(scenario.supply.voltage_v);
  object["fastest_mps"] = output::number_or_null(today.fastest_mps);
  object["fails_mps"] = output::number_or_null(today.fails_mps);
  object["limit"] = limit_key(today.limit);
  object["within_10mm_ratio"] = output::number_or_null(today.share_ratio);
  object["within_10mm_where_it_fails_ratio"] = output::number_or_null(today.failing_share_ratio);
  object["mean_error_where_it_fails_m"] = output::number_or_null(today.mean_error_m);
  object["opening_voltage_v"] = output::number_or_null(today.opening_voltage_v);
  object["outside_table"] = today.outside_table;
  object["judged"] = holding_json(scenario, today.judging);
  return object;
}

}  // namespace

std::string today_sentence(const TodayResult& today, output::Units units) {
  const std::string machine = machine_words(today.scenario, units);
  const std::string limit =
      today.limit == TodayLimit::kClosed ? closed_words(today, units) : limit_words(today.limit);
  if (std::isnan(today.fastest_mps)) return "No speed holds 10 mm today: " + limit + machine;
  const std::string fastest = output::shown(today.fastest_mps, output::Measure::kSpeed, units);
  if (today.limit == TodayLimit::kNone) return "Held at " + fastest + ", " + limit + machine;
  return fastest + ", " + limit + machine;
}

std::string today_lines(const TodayResult& today, output::Units units) {
  std::string text = "  judged by: " + holding_words(today.scenario, today.judging, units) + "\n";
  if (!std::isnan(today.failing_share_ratio))
    text += fmt::format("  at {}: {} within 10 mm, mean error {}\n",
                        output::shown(today.fails_mps, output::Measure::kSpeed, units),
                        output::shown(today.failing_share_ratio, output::Measure::kShare, units),
                        output::shown_signed(today.mean_error_m, output::Measure::kPlace, units));
  if (today.outside_table)
    text += "  viscosity or voltage lies outside the table: the value at its end is used\n";
  return text + "  " + today.table_words + "\n  " + scenario::kSimulatedCaution + "\n";
}

std::string today_json(const TodayResult& today) {
  Json object = unhashed(today);
  object["hashes"] = {{"scenario", today.hashes.scenario},
                      {"parameters", today.hashes.parameters},
                      {"controller", today.hashes.controller},
                      {"program", today.hashes.program},
                      {"result", today.hashes.result}};
  return output::json_text(object);
}

std::string today_csv(const TodayResult& today) {
  std::string text =
      "speed_mps,pressure_pa,delay_s,deliverable,servable,within_10mm_trimmed_ratio,"
      "mean_trimmed_m,holds\n";
  for (const DelaySpeed& at : today.speeds) {
    const auto cell = [](double value_si) {
      return (std::isfinite(value_si) ? text::shortest_text(value_si) : std::string()) + ",";
    };
    text += cell(at.speed_mps) + cell(at.pressure_pa) + cell(at.delay_s) +
            (at.deliverable ? "true," : "false,") + (at.servable ? "true," : "false,") +
            cell(at.trimmed[0].share_ratio) + cell(at.trimmed_mean_m) +
            (holds(at) ? "true\n" : "false\n");
  }
  return text;
}

void seal(TodayResult& today, const sillion_attachment_table& table) {
  tune::TunedTable tuned;
  tuned.table = table;
  today.hashes =
      run::hashes_of(today.scenario, tuned, output::json_text(unhashed(today)) + today_csv(today));
}

void write_today(const TodayResult& today, const std::filesystem::path& out) {
  const std::array<output::ResultFile, 2> files = {
      {{"summary.json", today_json(today)}, {"today.csv", today_csv(today)}}};
  output::write_folder(files, out);
}

}  // namespace sim::delay
