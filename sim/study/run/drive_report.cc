#include "sim/study/run/drive_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "shared/units.h"
#include "sim/bench/travel_of.h"
#include "sim/output/html.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/output/shown_units.h"

namespace sim::run {
namespace {

struct Driven {
  double slowest_mps = 0.0;
  double fastest_mps = 0.0;
  double mean_mps = 0.0;
  double turned_rad = 0.0;
};

Driven driven_of(const RunResult& result) {
  const model::Travel travel = bench::travel_of(result.scenario);
  const double until_s = driven_s(result);
  Driven driven;
  driven.slowest_mps = driven.fastest_mps = model::motion_at(travel, 0.0).speed_mps;
  const auto meet = [&](double speed_mps) {
    driven.slowest_mps = std::min(driven.slowest_mps, speed_mps);
    driven.fastest_mps = std::max(driven.fastest_mps, speed_mps);
  };
  for (const model::TravelKnot& knot : travel.knots)
    if (knot.time_s > 0.0 && knot.time_s < until_s) meet(knot.speed_mps);
  meet(model::motion_at(travel, until_s).speed_mps);
  if (until_s > 0.0)
    driven.mean_mps = model::row_motion_at(travel, 0.0, until_s).x_ground_m / until_s;
  driven.turned_rad = model::turned_rad(travel, until_s);
  return driven;
}

std::string seconds(double time_s) { return output::fixed_text(time_s, 1) + " s"; }

std::string degrees(double angle_rad) {
  return output::fixed_text(std::abs(angle_rad) * 180.0 / shared::kPi_ratio, 1) +
         (angle_rad < 0.0 ? " degrees to the left" : " degrees to the right");
}

/// Each reason for which a sentence or a fix is skipped, with its count.
struct Reason {
  const char* key;
  const char* words;
  long long count = 0;
};

std::vector<Reason> reasons_of(const scenario::NmeaCounts& log) {
  return {{"other_sentences", "other sentences than RMC and VTG", log.other},
          {"bad_check_sums", "wrong or missing check sums", log.bad_checksum},
          {"unreadable_lines", "lines that cannot be read", log.malformed},
          {"void_fixes", "fixes that the receiver itself marks void", log.void_fixes},
          {"fixes_without_speed", "fixes without a speed", log.incomplete},
          {"fixes_out_of_order", "fixes whose time does not rise", log.out_of_order}};
}

output::Table drive_table(const RunResult& result, output::Units units) {
  const Driven driven = driven_of(result);
  const auto speed = [&](double speed_mps) {
    return output::shown(speed_mps, output::Measure::kSpeed, units);
  };
  return {"",
          {"Drive", ""},
          {{"Driven for", seconds(driven_s(result))},
           {"Speed, slowest", speed(driven.slowest_mps)},
           {"Speed, mean", speed(driven.mean_mps)},
           {"Speed, fastest", speed(driven.fastest_mps)},
           {"Course at the end, against the start", degrees(driven.turned_rad)}},
          1};
}

output::Table log_table(const scenario::NmeaCounts& log) {
  output::Table table{
      "The whole log, including what lies beyond the end of the pass.",
      {"Recorded drive", "count"},
      {{"Lines in the log", std::to_string(log.lines)}, {"Fixes used", std::to_string(log.fixes)}},
      1};
  for (const Reason& one : reasons_of(log))
    table.lines.push_back({std::string("Passed over: ") + one.words, std::to_string(one.count)});
  table.lines.push_back({fmt::format("Gaps of more than {} s between fixes",
                                     output::fixed_text(scenario::kNmeaGap_s, 0)),
                         std::to_string(log.gaps)});
  if (log.gaps > 0)
    table.lines.push_back({"Gaps, together; the longest",
                           seconds(log.gap_time_s) + "; " + seconds(log.longest_gap_s)});
  return table;
}

std::string log_fields(const scenario::NmeaCounts& log) {
  nlohmann::ordered_json passed = nlohmann::ordered_json::object();
  for (const Reason& one : reasons_of(log)) passed[one.key] = one.count;
  return output::json_text({{"lines", log.lines},
                            {"fixes", log.fixes},
                            {"gaps", log.gaps},
                            {"gap_time_s", output::number_or_null(log.gap_time_s)},
                            {"longest_gap_s", output::number_or_null(log.longest_gap_s)},
                            {"passed_over", passed}});
}

}  // namespace

double driven_s(const RunResult& result) {
  // simulated_s of a summary is summed over rows
  return result.summary.simulated_s / std::max(1, result.scenario.row.count);
}

std::vector<std::string> drive_lines(const RunResult& result,
                                     const std::optional<scenario::NmeaCounts>& log,
                                     output::Units units) {
  if (!log) return {};
  const Driven driven = driven_of(result);
  std::string passed;
  for (const Reason& one : reasons_of(*log))
    if (one.count > 0)
      passed += (passed.empty() ? "" : ", ") + fmt::format("{}: {}", one.words, one.count);
  return {
      fmt::format("recorded drive: {} at {} to {}, mean {}; {} fixes in the log, {} gaps{}",
                  seconds(driven_s(result)),
                  output::shown(driven.slowest_mps, output::Measure::kSpeed, units),
                  output::shown(driven.fastest_mps, output::Measure::kSpeed, units),
                  output::shown(driven.mean_mps, output::Measure::kSpeed, units), log->fixes,
                  log->gaps,
                  log->gaps > 0 ? " (" + seconds(log->gap_time_s) + " together, the longest " +
                                      seconds(log->longest_gap_s) + ")"
                                : ""),
      fmt::format("of {} lines, passed over: {}", log->lines, passed.empty() ? "none" : passed)};
}

ReportExtra drive_extra(const RunResult& result, const std::optional<scenario::NmeaCounts>& log,
                        output::Units units) {
  ReportExtra extra;
  const std::string svg = drive_svg(result, log.has_value(), units);
  if (svg.empty()) return extra;
  std::string caption = "How the machine was driven; each of its rows follows on its own track.";
  if (log)
    caption +=
        " What it did between two fixes is not in the log: between them the speed is taken as a "
        "straight line.";
  if (log && log->gaps > 0)
    caption += " Pale: gaps of the log, in which the machine is taken not to turn.";
  extra.section =
      output::section_html("The drive", output::figure_html(svg, caption) +
                                            output::table_html(drive_table(result, units)) +
                                            (log ? output::table_html(log_table(*log)) : ""));
  if (log) {
    extra.summary_key = "drive";
    extra.summary = log_fields(*log);
  }
  return extra;
}

}  // namespace sim::run
