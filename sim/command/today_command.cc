// `today`: how fast an attachment may go at today's temperature, pressure and voltage.
#include <fmt/format.h>

#include <cmath>
#include <cstdio>
#include <nlohmann/json.hpp>

#include "sim/command/attachment_input.h"
#include "sim/command/exit_code.h"
#include "sim/command/options.h"
#include "sim/command/progress.h"
#include "sim/output/json_text.h"
#include "sim/output/shown_units.h"
#include "sim/scenario/catalog.h"
#include "sim/scenario/delay_file.h"
#include "sim/study/delay.h"
#include "sim/study/today.h"
#include "sim/study/tune.h"

namespace sim {
namespace {

const char* limit_key(TodayLimit limit) {
  constexpr const char* kKeys[] = {"none",     "pressure", "offset", "valve",
                                   "delivery", "column",   "spread"};
  return kKeys[static_cast<int>(limit)];
}

/// The table beside the attachment in the catalog, or the one of --table; without either the
/// machine of the scenario is tuned first.
sillion_attachment_table table_for(const CommandOptions& options, const DelayInputs& reference,
                                   std::string& words) {
  std::filesystem::path file = options.table;
  if (file.empty()) {
    const std::filesystem::path folder =
        options.scenario.empty() ? std::filesystem::path(".") : options.scenario.parent_path();
    file = delay_file_of(reference.scenario.attachment.name, folder);
  }
  if (file.empty()) {
    words = "no delay table beside the attachment: tuned on the scenario's machine first";
    return tune(reference.scenario).table;
  }
  const DelayFile read = read_delay_file(file);
  const Grade grade = grade_of(read, reference.scenario.attachment);
  words = "table " + file.string() + ", " +
          (grade.why_not.empty() ? "evidence " + grade.grade : "no grade: " + grade.why_not);
  return read.table;
}

std::string sentence(const TodayResult& today, const Scenario& scenario, Units units) {
  std::string text;
  if (std::isnan(today.fastest_mps)) {
    text = "No speed holds 10 mm today, " + std::string(limit_words(today.limit));
  } else {
    text = shown(today.fastest_mps, Measure::kSpeed, units) + ", " + limit_words(today.limit);
  }
  return text + " (" + scenario.attachment.name + ", " +
         shown(scenario.liquid.temperature_k, Measure::kTemperature, units) + ", at most " +
         shown(scenario.supply.pressure_pa, Measure::kPressure, units) + ", " +
         shown(scenario.supply.voltage_v, Measure::kVoltage, units) + ")";
}

std::string today_json(const TodayResult& today, const Scenario& scenario) {
  nlohmann::ordered_json object = nlohmann::ordered_json::object();
  object["schema"] = "sillion.today.1";
  object["attachment"] = scenario.attachment.name;
  object["temperature_k"] = number_or_null(scenario.liquid.temperature_k);
  object["pressure_pa"] = number_or_null(scenario.supply.pressure_pa);
  object["voltage_v"] = number_or_null(scenario.supply.voltage_v);
  object["fastest_mps"] = number_or_null(today.fastest_mps);
  object["fails_mps"] = number_or_null(today.fails_mps);
  object["limit"] = limit_key(today.limit);
  object["within_10mm_ratio"] = number_or_null(today.share_ratio);
  object["within_10mm_where_it_fails_ratio"] = number_or_null(today.failing_share_ratio);
  object["mean_error_where_it_fails_m"] = number_or_null(today.mean_error_m);
  object["outside_table"] = today.outside_table;
  return json_text(object);
}

void print_rest(const TodayResult& today, const std::string& words, Units units) {
  if (!std::isnan(today.failing_share_ratio))
    std::fputs(fmt::format("  at {}: {} within 10 mm, mean error {}\n",
                           shown(today.fails_mps, Measure::kSpeed, units),
                           shown(today.failing_share_ratio, Measure::kShare, units),
                           shown_signed(today.mean_error_m, Measure::kPlace, units))
                   .c_str(),
               stdout);
  if (today.outside_table)
    std::fputs("  viscosity or voltage lies outside the table: its end is held\n", stdout);
  std::fputs(("  " + words + "\n  " + kSimulatedCaution + "\n").c_str(), stdout);
}

}  // namespace

int today_command(const CommandOptions& options, const std::atomic<bool>& stop) {
  const DelayInputs reference = delay_inputs(options.input, options.scenario, options.sets);
  std::vector<std::string> sets = options.sets;
  const auto today_is = [&](const char* key, const std::string& value) {
    if (!value.empty()) sets.push_back(std::string(key) + "=\"" + value + "\"");
  };
  today_is("liquid.temperature", options.temperature);
  today_is("supply.pressure", options.pressure);
  today_is("supply.voltage", options.voltage);
  const DelayInputs inputs = delay_inputs(options.input, options.scenario, sets);
  std::string words;
  const sillion_attachment_table table = table_for(options, reference, words);
  Progress progress(inputs.scenario.name, {}, options.quiet || options.json);
  const TodayResult today = find_today(
      inputs, reference, table,
      {.stop = &stop, .on_progress = [&](double done_ratio) { progress.at(done_ratio); }});
  if (options.json) {
    std::fputs(today_json(today, inputs.scenario).c_str(), stdout);
  } else {
    std::fputs((sentence(today, inputs.scenario, options.units) + "\n").c_str(), stdout);
    print_rest(today, words, options.units);
  }
  return std::isnan(today.fastest_mps) ? kViolated : kHeld;
}

}  // namespace sim
