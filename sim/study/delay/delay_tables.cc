#include "sim/study/delay/delay_tables.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/write_folder.h"
#include "sim/study/delay/holding_words.h"
#include "sim/study/run/seal.h"
#include "sim/study/run/summary_fields.h"
#include "sim/study/run/tables.h"
#include "sim/study/tune/tune.h"
#include "sim/text/quantity.h"

namespace sim::delay {
namespace {

using Json = nlohmann::ordered_json;

std::string words_of(double value_si, text::Kind kind, const char* unit) {
  return text::format_quantity(value_si, kind, unit);
}

std::string mm(double length_m) { return words_of(length_m, text::Kind::kLength, "mm"); }

std::string line_words(const model::Line& line) {
  std::string words = words_of(line.length_m, text::Kind::kLength, "m") + " of " + mm(line.bore_m) +
                      ", wave speed " + words_of(line.wave_speed_mps, text::Kind::kSpeed, "m/s");
  if (line.rise_m != 0.0) words += ", rise " + words_of(line.rise_m, text::Kind::kLength, "m");
  return words;
}

std::string delivery_words(const scenario::Scenario& scenario) {
  const model::DeliveryParams& delivery = scenario.delivery;
  switch (delivery.kind) {
    case model::DeliveryKind::kConveyorGeared:
      return "conveyor geared to ground speed, path " + mm(delivery.path_m) + ", gear " +
             text::shortest_text(delivery.gear_ratio);
    case model::DeliveryKind::kConveyorTimed: return "conveyor, timed";
    default: return "gravity";
  }
}

std::string valve_words(const model::Valve& valve) {
  return "seat " + mm(valve.seat.diameter_m) + ", travel " + mm(valve.plunger.travel_m) +
         ", preload " + words_of(valve.plunger.preload_n, text::Kind::kForce, "N") + ", coil " +
         words_of(valve.coil.resistance_ohm, text::Kind::kResistance, "ohm");
}

std::vector<std::pair<std::string, std::string>> header_of(const DelayStudy& study) {
  const scenario::Scenario& scenario = study.scenario;
  const scenario::AttachmentSection& part = scenario.attachment;
  return {
      {"attachment", part.name},
      {"delivery", delivery_words(scenario)},
      {"sensor", scenario.delivery.kind == model::DeliveryKind::kConveyorGeared
                     ? "above the furrow by the delivery's path"
                     : "above the furrow by the delivery's height"},
      {"band_length", mm(scenario.rate.band_length_m)},
      {"outlet_offset", mm(part.outlet_offset_m)},
      {"outlet", "bore " + mm(part.outlet.bore_m) + ", drop height " + mm(part.jet.drop_height_m)},
      {"hose", line_words(part.hose)},
      {"tube", line_words(part.tube)},
      {"valve", valve_words(part.valve)},
      {"liquid",
       scenario.liquid.name + ", " +
           words_of(scenario.liquid.liquid.viscosity_pas, text::Kind::kViscosity, "mPa s")},
      {"temperature", words_of(scenario.liquid.temperature_k, text::Kind::kTemperature, "C")},
      {"pressure", "at most " +
                       words_of(scenario.supply.pressure_pa, text::Kind::kPressure, "bar") + ", " +
                       words_of(study.start.pressure_pa, text::Kind::kPressure, "bar") +
                       " at the judged speed"},
      {"voltage", words_of(scenario.supply.voltage_v, text::Kind::kVoltage, "V")},
      {"wear", "new valve, cold coil"},
      {"rate",
       words_of(scenario.rate.in_band_m3pm2, text::Kind::kVolumePerArea, "l/ha") + " in band"},
      {"spacing", mm(scenario.seeding.meter.spacing_m)}};
}

double or_none(double value, double none) {  // tidy: unit the caller's
  return std::isfinite(value) ? value : none;
}

Json place_json(const PlaceFound& place) {
  return {{"value_m", output::number_or_null(place.value_m)},
          {"half95_m", output::number_or_null(place.half_m)}};
}

Json law_json(const LawError& law) {
  return {{"time_s", output::number_or_null(law.time.value_s)},
          {"time_half95_s", output::number_or_null(law.time.half_s)},
          {"distance_m", output::number_or_null(law.distance.value_m)},
          {"distance_half95_m", output::number_or_null(law.distance.half_m)},
          {"correlation_ratio", output::number_or_null(law.correlation_ratio)}};
}

Json shares_json(const HeldShare (&shares)[kTolerances]) {
  Json list = Json::array();
  for (const HeldShare& share : shares)
    list.push_back({{"tolerance_m", output::number_or_null(share.tolerance_m)},
                    {"sensed_ratio", output::number_or_null(share.share_ratio)},
                    {"lower95_ratio", output::number_or_null(share.lower95_ratio)},
                    {"holds", share.holds}});
  return list;
}

Json range_json(const HeldRange& range) {
  return {{"low", output::number_or_null(range.low_si)},
          {"high", output::number_or_null(range.high_si)},
          {"low_is_last_tried", range.low_open},
          {"high_is_last_tried", range.high_open}};
}

Json speed_json(const DelaySpeed& at) {
  return {{"speed_mps", output::number_or_null(at.speed_mps)},
          {"flow_m3ps", output::number_or_null(at.flow_m3ps)},
          {"pressure_pa", output::number_or_null(at.pressure_pa)},
          {"servable", at.servable},
          {"delay_s", output::number_or_null(at.delay_s)},
          {"on_s", output::number_or_null(at.on_s)},
          {"residual", place_json(at.mean)},
          {"sd_m", output::number_or_null(at.sd_m)},
          {"trimmed_sd_m", output::number_or_null(at.trimmed_sd_m)},
          {"floor_sd_m", output::number_or_null(at.floor_sd_m)},
          {"within", shares_json(at.plain)},
          {"within_trimmed", shares_json(at.trimmed)},
          {"flat_early_s", output::number_or_null(at.early_s)},
          {"flat_late_s", output::number_or_null(at.late_s)},
          {"smallest_spacing_m", output::number_or_null(at.smallest_spacing_m)},
          {"smallest_outlet_offset_m", output::number_or_null(at.smallest_offset_m)},
          {"jet_speed_mps", output::number_or_null(at.jet_speed_mps)},
          {"sensed", at.sensed}};
}

void fill_measured(const MeasuredLaw& measured, scenario::DelayEvidence& evidence) {
  std::vector<double> speeds_mps;
  double squares_m2 = 0.0;
  for (const JudgedPoint& one : measured.points) {
    if (one.outlier) continue;
    ++evidence.measured_points;
    squares_m2 += one.residual_m * one.residual_m;
    if (std::find(speeds_mps.begin(), speeds_mps.end(), one.point.speed_mps) == speeds_mps.end())
      speeds_mps.push_back(one.point.speed_mps);
  }
  evidence.measured_speeds = static_cast<int>(speeds_mps.size());
  if (evidence.measured_points > 0)
    evidence.scatter_m = std::sqrt(squares_m2 / evidence.measured_points);
}

Json measured_json(const MeasuredLaw& measured) {
  Json points = Json::array();
  for (const JudgedPoint& one : measured.points)
    points.push_back({{"speed_mps", output::number_or_null(one.point.speed_mps)},
                      {"line", one.point.line},
                      {"residual_m", output::number_or_null(one.residual_m)},
                      {"standardized", output::number_or_null(one.standardized_ratio)},
                      {"outlier", one.outlier}});
  return {{"time_s", output::number_or_null(measured.law.time_s)},
          {"time_half95_s", output::number_or_null(measured.time_half_s)},
          {"distance_m", output::number_or_null(measured.law.distance_m)},
          {"distance_half95_m", output::number_or_null(measured.distance_half_m)},
          {"chi_square", output::number_or_null(measured.chi_square_ratio)},
          {"freedom", measured.freedom},
          {"simulated_law_used", measured.prior_used},
          {"points", points}};
}

std::string unhashed(const DelayStudy& study) {
  Json object = Json::object();
  object["schema"] = "sillion.delay.1";
  object["attachment"] = study.scenario.attachment.name;
  object["passes"] = {{"fit", study.plan.fit.size()}, {"report", study.plan.report.size()}};
  object["judged"] = holding_json(study.scenario, study.plan.judging);
  object["fastest"] = {{"holds_mps", output::number_or_null(study.fastest.holds_mps)},
                       {"fails_mps", output::number_or_null(study.fastest.fails_mps)}};
  object["found"] = law_json(study.fit.whole);
  object["left"] = law_json(study.left);
  object["fit"] = {{"bands", study.fit.bands},
                   {"rows", study.fit.clusters},
                   {"rms_before_m", output::number_or_null(study.fit.before_rms_m)},
                   {"rms_after_m", output::number_or_null(study.fit.after_rms_m)},
                   {"widest_lead_half95_s", output::number_or_null(study.fit.largest_lead_half_s)},
                   {"voltage_told_apart", study.fit.kept.voltage},
                   {"viscosity_told_apart", study.fit.kept.viscosity},
                   {"rest_told_apart", study.fit.kept.rest}};
  Json speeds = Json::array();
  for (const DelaySpeed& at : study.speeds) speeds.push_back(speed_json(at));
  object["speeds"] = speeds;
  Json trims = Json::array();
  for (const RowTrim& trim : study.trims)
    trims.push_back({{"trim_m", output::number_or_null(trim.trim_m)},
                     {"half95_m", output::number_or_null(trim.half_m)}});
  object["trims"] = trims;
  object["row_means_sd_m"] = {{"before", output::number_or_null(study.rows_before_sd_m)},
                              {"after", output::number_or_null(study.rows_after_sd_m)}};
  object["box"] = {{"speed_mps", output::number_or_null(study.box.speed_mps)},
                   {"temperature_k", range_json(study.box.temperature_k)},
                   {"temperature_unentered_k", range_json(study.box.temperature_unentered_k)},
                   {"pressure_pa", range_json(study.box.pressure_si)},
                   {"voltage_v", range_json(study.box.voltage_si)}};
  if (study.measured) object["measured"] = measured_json(*study.measured);
  object["grade"] = study.grade;
  object["notes"] = study.notes;
  object["check_sum"] = fmt::format("{:08x}", study.table.check_sum);
  return output::json_text(object);
}

}  // namespace

scenario::DelayFile delay_file_of(const DelayStudy& study) {
  scenario::DelayFile file;
  file.header = header_of(study);
  file.table = study.table;
  for (const RowTrim& trim : study.trims)
    file.trims_um.push_back(static_cast<int>(std::llround(trim.trim_m * 1e6)));
  for (const DelaySpeed& at : study.speeds)
    file.speeds.push_back({.speed_mps = at.speed_mps,
                           .delay_s = at.delay_s,
                           .on_s = at.on_s,
                           .residual_mean_m = at.mean.value_m,
                           .residual_half_m = at.mean.half_m,
                           .residual_sd_m = at.trimmed_sd_m,
                           .floor_sd_m = at.floor_sd_m,
                           .within_10mm_ratio = or_none(at.trimmed[0].share_ratio, 0.0),
                           .smallest_spacing_m = at.smallest_spacing_m});
  const HeldRange held = speeds_held_mps(study, 0, true);
  file.evidence.holds_from_mps = or_none(held.low_si, 0.0);
  file.evidence.holds_to_mps = or_none(held.high_si, 0.0);
  file.evidence.valid_box = valid_box_words(study, output::Units::kMetric);
  if (file.evidence.valid_box.empty())
    file.evidence.valid_box = "10 mm does not hold at the judged speed";
  file.evidence.attachment_sum = scenario::attachment_sum(study.scenario.attachment);
  file.evidence.program = study.hashes.program;
  file.evidence.grade = study.grade;
  file.evidence.date = study.date;
  if (study.measured) fill_measured(*study.measured, file.evidence);
  return file;
}

std::string delay_csv(const DelayStudy& study) {
  std::string text =
      "speed_mps,flow_m3ps,pressure_pa,delay_s,on_s,shortest_on_s,shortest_closed_s,"
      "residual_mean_m,residual_half95_m,sd_m,trimmed_sd_m,floor_sd_m,within_10mm_ratio,"
      "within_10mm_trimmed_ratio,within_25mm_trimmed_ratio,within_half_band_trimmed_ratio,"
      "flat_early_s,flat_late_s,smallest_spacing_m,smallest_outlet_offset_m,servable\n";
  for (const DelaySpeed& at : study.speeds) {
    for (const double value :  // tidy: unit in the column's name
         {at.speed_mps,
          at.flow_m3ps,
          at.pressure_pa,
          at.delay_s,
          at.on_s,
          study.table.shortest_on_us * 1e-6,
          study.table.shortest_closed_us * 1e-6,
          at.mean.value_m,
          at.mean.half_m,
          at.sd_m,
          at.trimmed_sd_m,
          at.floor_sd_m,
          at.plain[0].share_ratio,
          at.trimmed[0].share_ratio,
          at.trimmed[1].share_ratio,
          at.trimmed[2].share_ratio,
          at.early_s,
          at.late_s,
          at.smallest_spacing_m,
          at.smallest_offset_m})
      text += (std::isfinite(value) ? text::shortest_text(value) : std::string()) + ",";
    text += at.servable ? "true\n" : "false\n";
  }
  return text;
}

std::string delay_summary_json(const DelayStudy& study) {
  Json object = Json::parse(unhashed(study));
  object["hashes"] = {{"scenario", study.hashes.scenario},
                      {"parameters", study.hashes.parameters},
                      {"controller", study.hashes.controller},
                      {"program", study.hashes.program},
                      {"result", study.hashes.result}};
  return output::json_text(object);
}

void seal(DelayStudy& study) {
  study.hashes = run::hashes_of(study.scenario, study.start, unhashed(study) + delay_csv(study));
}

void write_delay(const DelayStudy& study, const std::filesystem::path& out, output::Units units) {
  const std::array<output::ResultFile, 4> files = {
      {{"delay.toml", scenario::delay_file_text(delay_file_of(study))},
       {"delay.csv", delay_csv(study)},
       {"summary.json", delay_summary_json(study)},
       {"sheet.html", delay_sheet_html(study, units)}}};
  output::write_folder(files, out);
}

}  // namespace sim::delay
