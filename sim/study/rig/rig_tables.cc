#include "sim/study/rig/rig_tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>
#include <span>

#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/shown_units.h"
#include "sim/output/write_folder.h"
#include "sim/study/rig/measured_beside.h"
#include "sim/study/rig/nothing_passes.h"

namespace sim::rig {
namespace {

using Json = nlohmann::ordered_json;

struct Column {
  std::string_view name;
  const std::vector<double>* values;  // SI, unit in the name
};

std::vector<Column> columns_of(const RigSeries& series) {
  std::vector<Column> columns{{"t_s", &series.time_s}};
  for (const RigColumn& column : kRigColumns)
    if (column.values != &RigSeries::middle_pressure_pa || !series.middle_pressure_pa.empty())
      columns.push_back({column.name, &(series.*(column.values))});
  return columns;
}

struct PulseColumn {
  const char* name;
  double RigPulse::* value;
};

constexpr std::array kPulseColumns = {PulseColumn{"on_s", &RigPulse::on_s},
                                      PulseColumn{"off_s", &RigPulse::off_s},
                                      PulseColumn{"lead_s", &RigPulse::lead_s},
                                      PulseColumn{"lag_s", &RigPulse::lag_s},
                                      PulseColumn{"flight_s", &RigPulse::flight_s},
                                      PulseColumn{"mass_kg", &RigPulse::mass_kg},
                                      PulseColumn{"volume_m3", &RigPulse::volume_m3},
                                      PulseColumn{"x05_m", &RigPulse::x05_m},
                                      PulseColumn{"x95_m", &RigPulse::x95_m},
                                      PulseColumn{"start_x_m", &RigPulse::start_x_m},
                                      PulseColumn{"end_x_m", &RigPulse::end_x_m},
                                      PulseColumn{"centroid_x_m", &RigPulse::centroid_x_m},
                                      PulseColumn{"secondary_ratio", &RigPulse::secondary_ratio},
                                      PulseColumn{"half_falls", &RigPulse::half_falls_ratio}};

}  // namespace

std::string rig_json(const RigResult& result) {
  Json object = Json::object();
  object["schema"] = "sillion.rig.1";
  object["name"] = result.setup.name;
  object["title"] = result.setup.title;
  object["steady_flow_m3ps"] = output::number_or_null(result.steady_flow_m3ps);
  object["balance_m3"] = {
      {"in", output::number_or_null(result.balance.in_m3)},
      {"out", output::number_or_null(result.balance.out_m3)},
      {"stored", output::number_or_null(result.balance.stored_m3)},
      {"residual", output::number_or_null(result.balance.residual_m3())},
      {"residual_ratio", output::number_or_null(result.balance.residual_ratio())}};
  object["solver"] = {{"step_s", output::number_or_null(result.fit.step_s)},
                      {"hose_cells", output::number_or_null(result.fit.hose_cells)},
                      {"tube_cells", output::number_or_null(result.fit.tube_cells)}};
  if (result.chopping)
    object["chopping"] = {{"least_a", output::number_or_null(result.chopping->least_a)},
                          {"most_a", output::number_or_null(result.chopping->most_a)},
                          {"mean_a", output::number_or_null(result.chopping->mean_a)},
                          {"start_moved_m", output::number_or_null(result.chopping->start_moved_m)},
                          {"end_moved_m", output::number_or_null(result.chopping->end_moved_m)}};
  object["pulses"] = Json::array();
  for (const RigPulse& pulse : result.pulses) {
    Json one = Json::object();
    for (const PulseColumn& column : kPulseColumns)
      one[column.name] = output::number_or_null(pulse.*column.value);
    object["pulses"].push_back(one);
  }
  Json series = Json::object();
  for (const Column& column : columns_of(result.series)) {
    Json values = Json::array();
    for (const double value : *column.values) values.push_back(output::number_or_null(value));
    series[column.name] = values;
  }
  object["series"] = series;
  for (const MeasuredDifference& one : measured_differences(result))
    object["measured"].push_back({{"column", one.history->name},
                                  {"points", one.points},
                                  {"outside", one.outside},
                                  {"highest", output::number_or_null(one.highest_si)},
                                  {"rms", output::number_or_null(one.rms_si)},
                                  {"largest", output::number_or_null(one.largest_si)},
                                  {"largest_at_s", output::number_or_null(one.largest_at_s)}});
  return output::json_text(object);
}

std::string rig_series_csv(const RigResult& result) {
  const std::vector<Column> columns = columns_of(result.series);
  std::string text;
  for (const Column& column : columns) text += (text.empty() ? "" : ",") + std::string(column.name);
  text += "\n";
  for (std::size_t i = 0; i < result.series.time_s.size(); ++i) {
    for (std::size_t c = 0; c < columns.size(); ++c)
      text += (c == 0 ? "" : ",") + output::number_text((*columns[c].values)[i]);
    text += "\n";
  }
  return text;
}

std::string rig_pulses_csv(const RigResult& result) {
  std::string text = "pulse";
  for (const PulseColumn& column : kPulseColumns) text += std::string(",") + column.name;
  text += "\n";
  for (std::size_t k = 0; k < result.pulses.size(); ++k) {
    text += std::to_string(k);
    for (const PulseColumn& column : kPulseColumns)
      text += "," + output::number_text(result.pulses[k].*column.value);
    text += "\n";
  }
  return text;
}

std::string rig_sentence(const RigResult& result, output::Units units) {
  const auto flow = output::shown(result.steady_flow_m3ps, output::Measure::kFlow, units, 3);
  const auto balance =
      fmt::format("volume balance {:.1e} of throughput", result.balance.residual_ratio());
  if (result.setup.inlet == RigInlet::kChain && !result.pulses.empty()) {
    const RigPulse& pulse = result.pulses.front();
    if (std::string words = nothing_passes_words(result, units); !words.empty()) return words;
    if (std::isnan(pulse.lag_s))
      return fmt::format(
          "{} from the on command to half of the outlet's steady flow of {}, and no fall below "
          "half "
          "before the next pulse; {}",
          output::shown(pulse.lead_s, output::Measure::kTime, units, 2), flow, balance);
    return fmt::format(
        "{} from the on command to half of the outlet's steady flow, {} from off back to half; "
        "steady flow {}; {}",
        output::shown(pulse.lead_s, output::Measure::kTime, units, 2),
        output::shown(pulse.lag_s, output::Measure::kTime, units, 2), flow, balance);
  }
  const std::vector<double>& inlet_pa = result.series.inlet_pressure_pa;
  double highest_pa = 0.0, lowest_pa = 0.0;
  if (!inlet_pa.empty()) {
    highest_pa = *std::max_element(inlet_pa.begin(), inlet_pa.end());
    lowest_pa = *std::min_element(inlet_pa.begin(), inlet_pa.end());
  }
  return fmt::format("{} to {} at the tube's start; steady flow {}; {}",
                     output::shown(lowest_pa, output::Measure::kPressure, units, 3),
                     output::shown(highest_pa, output::Measure::kPressure, units, 3), flow,
                     balance);
}

std::string chopping_sentence(const RigResult& result, output::Units units) {
  if (!result.chopping) return {};
  const RigChopping& chopping = *result.chopping;
  const auto place = [&](double moved_m) {
    const output::ShownUnit unit = output::shown_unit(output::Measure::kPlace, units);
    return fmt::format("{:+.3f} {}", moved_m * unit.per_si_ratio, unit.word);
  };
  const bool compares =
      std::isfinite(chopping.start_moved_m) && std::isfinite(chopping.end_moved_m);
  const std::string moves =
      compares
          ? fmt::format("against an ideal limit the last band's start moves by {}, its end by {}",
                        place(chopping.start_moved_m), place(chopping.end_moved_m))
          : std::string("there is no band to set beside that of an ideal limit");
  return fmt::format(
      "a limit of {:.3g} A chopped at {}: the current ripples from {:.3f} to {:.3f} A, {:.3f} A in "
      "the mean; {}",
      result.setup.drive.current_limit_a,
      text::format_quantity(result.setup.part.valve.coil.chop_hz, text::Kind::kFrequency, "kHz", 4),
      chopping.least_a, chopping.most_a, chopping.mean_a, moves);
}

void write_rig(const RigResult& result, const std::filesystem::path& out, bool plot,
               output::Units units) {
  std::vector<output::ResultFile> files{{"rig.json", rig_json(result)},
                                        {"series.csv", rig_series_csv(result)},
                                        {"pulses.csv", rig_pulses_csv(result)}};
  if (plot) files.push_back({"rig.html", rig_html(result, units)});
  output::write_folder(files, out);
}

}  // namespace sim::rig
