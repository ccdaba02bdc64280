#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/output/cautions.h"
#include "sim/output/html.h"
#include "sim/output/json_text.h"
#include "sim/output/shown_units.h"
#include "sim/study/delay/strip_sheet.h"

namespace sim::delay {
namespace {

using Json = nlohmann::ordered_json;

std::string place(double length_m) {
  return output::shown(length_m, output::Measure::kPlace, output::Units::kMetric, 2);
}
std::string signed_place(double length_m) { return (length_m >= 0.0 ? "+" : "") + place(length_m); }
std::string signed_time(double time_s) {
  return output::shown_signed(time_s, output::Measure::kTime, output::Units::kMetric);
}
std::string half(double value_si, output::Measure measure) {
  return " ± " + output::shown(value_si, measure, output::Units::kMetric, 2);
}

std::string recovered_line(const StripFit& fit) {
  if (fit.trims.empty()) return "One row: no trims.";
  if (!std::isfinite(fit.recovered_ratio))
    return "Rows do not differ by more than the noise of their means: a trim would recover "
           "nothing.";
  return "A measured trim recovers " +
         output::shown(fit.recovered_ratio, output::Measure::kShare, output::Units::kMetric, 0) +
         " of the row-to-row variance: a spread of " + place(fit.row_before_sd_m) +
         " (sd) becomes " + place(fit.row_after_sd_m) + ".";
}

std::string run_line(const StripFit& fit) {
  if (!fit.run_error_seen)
    return "With two runs an error that all rows of a run share (noise of the speed signal) cannot "
           "be seen: " +
           place(fit.run_sd_m) +
           " (sd) is assumed in these intervals. Two runs at each speed would measure it.";
  return "The " + std::to_string(fit.runs) + " runs scatter by " + place(fit.run_sd_m) +
         " (sd) about the law; the intervals include this, with " +
         std::to_string(fit.run_freedom) +
         " degrees of freedom: more runs narrow them more than more bands.";
}

output::Table trim_table(const StripFit& fit) {
  output::Table table{"Trim to enter for each row: positive moves its bands ahead. 95 % intervals.",
                      {"Row", "Trim", "±"},
                      {},
                      1};
  for (const StripTrim& row : fit.trims)
    table.lines.push_back({std::to_string(row.row), signed_place(row.trim_m), place(row.half_m)});
  return table;
}

std::string outlier_text(const StripReading& r, output::Units units) {
  return "line " + std::to_string(r.line) + ": row " + std::to_string(r.row) + ", band " +
         std::to_string(r.band) + " at " +
         output::shown(r.speed_mps, output::Measure::kSpeed, units) + ", " +
         signed_place(r.offset_m);
}

}  // namespace

std::vector<std::string> strip_fit_lines(const StripFit& fit, output::Units units) {
  std::vector<std::string> lines = {
      "Time error " + signed_time(fit.time_s) + half(fit.time_half_s, output::Measure::kTime) +
      ", distance error " + signed_place(fit.distance_m) +
      half(fit.distance_half_m, output::Measure::kPlace) +
      " (95 %; positive: too late, too long): subtract them from a and b"};
  for (const SpeedOffset& at : fit.offsets)
    lines.push_back("At " + output::shown(at.speed_mps, output::Measure::kSpeed, units) +
                    " bands lie " + signed_place(at.offset_m) +
                    half(at.half_m, output::Measure::kPlace) +
                    " ahead of their seeds on average over all rows.");
  lines.push_back(recovered_line(fit));
  lines.push_back(run_line(fit));
  lines.push_back(std::to_string(fit.readings) + " readings, " + place(fit.scatter_m) +
                  " scatter (sd) within a row.");
  std::string named = fit.outliers.empty()
                          ? "No reading"
                          : std::to_string(fit.outliers.size()) +
                                (fit.outliers.size() == 1 ? " reading" : " readings");
  lines.push_back(named + " further than " + place(fit.outlier_limit_m) +
                  " from the median of its row and run" +
                  (fit.outliers.empty() ? "." : ", left out of the fit:"));
  for (const StripReading& r : fit.outliers) lines.push_back(outlier_text(r, units));
  return lines;
}

std::string strip_result_html(const StripFit& fit, const std::string& name, output::Units units) {
  std::vector<std::string> lines = strip_fit_lines(fit, units);
  const std::string first = lines.front();
  lines.erase(lines.begin());
  std::string body =
      output::verdict_html("Strip test of " + name, first, recovered_line(fit), false);
  if (!fit.trims.empty())
    body += output::section_html("Row trims", output::table_html(trim_table(fit)));
  body += output::section_html("What the readings say", output::list_html(lines));
  body += output::section_html(
      "Before you use it", output::paragraph_html(output::paragraph_of(
                               {output::Caution::kReadingsAsGood, output::Caution::kFollowTheLabel,
                                output::Caution::kMakers})));
  return output::page_html("Strip test " + name, body);
}

std::string strip_plan_json(const StripPlan& plan) {
  Json object = Json::object();
  object["schema"] = "sillion.strip_plan.1";
  object["rows"] = plan.request.rows;
  object["bands"] = plan.bands;
  object["runs_mps"] = Json::array();
  for (int run = 0; run < plan.runs(); ++run) object["runs_mps"].push_back(plan.speed_mps(run));
  object["strip_m"] = plan.strip_m;
  object["run_up_m"] = plan.run_up_m;
  object["tank_m3"] = plan.tank_m3;
  object["takes_s"] = plan.takes_s;
  object["in_time"] = plan.in_time;
  object["trim_half95_m"] = plan.trim_half_m;
  object["time_half95_s"] = plan.time_half_s;
  object["distance_half95_m"] = plan.distance_half_m;
  object["in_time_trim_half95_m"] = output::number_or_null(plan.in_time_trim_half_m);
  object["in_time_readers"] = plan.in_time_readers;
  return output::json_text(object);
}

std::string strip_fit_json(const StripFit& fit) {
  Json object = Json::object();
  object["schema"] = "sillion.strip_result.1";
  object["time_error_s"] = {{"value", fit.time_s}, {"half95", fit.time_half_s}};
  object["distance_error_m"] = {{"value", fit.distance_m}, {"half95", fit.distance_half_m}};
  object["correlation_ratio"] = fit.correlation_ratio;
  object["trims"] = Json::array();
  for (const StripTrim& row : fit.trims)
    object["trims"].push_back({{"row", row.row}, {"trim_m", row.trim_m}, {"half95_m", row.half_m}});
  object["offsets"] = Json::array();
  for (const SpeedOffset& at : fit.offsets)
    object["offsets"].push_back(
        {{"speed_mps", at.speed_mps}, {"offset_m", at.offset_m}, {"half95_m", at.half_m}});
  object["run_error_seen"] = fit.run_error_seen;
  object["run_sd_m"] = fit.run_sd_m;
  object["scatter_m"] = fit.scatter_m;
  object["row_before_sd_m"] = output::number_or_null(fit.row_before_sd_m);
  object["row_after_sd_m"] = output::number_or_null(fit.row_after_sd_m);
  object["recovered_ratio"] = output::number_or_null(fit.recovered_ratio);
  object["readings"] = fit.readings;
  object["outliers"] = Json::array();
  for (const StripReading& r : fit.outliers)
    object["outliers"].push_back({{"line", r.line}, {"offset_m", r.offset_m}});
  return output::json_text(object);
}

}  // namespace sim::delay
