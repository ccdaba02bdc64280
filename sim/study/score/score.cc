#include "sim/study/score/score.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <memory>
#include <nlohmann/json.hpp>

#include "sim/bench/travel_of.h"
#include "sim/output/html.h"
#include "sim/output/json_text.h"
#include "sim/study/tune/tune_once.h"
#include "sim/text/input_error.h"

namespace sim::score {
namespace {

/// Metrics that only the controller itself can count.
constexpr std::array<std::string_view, 12> kOfTheController{
    "edges_rejected", "edges_accepted", "queue_overflows",  "late_compares",
    "bad_frames",     "skipped_seeds",  "merged_seeds",     "capture_overflows",
    "resets",         "stream_time",    "stale_speed_time", "safe_closed_time"};

/// By then the machine's controller has heard its first speeds and set the pressure.
constexpr double kHeard_s = 1.0;

bool of_the_controller(const scenario::Requirement& one) {
  return std::find(kOfTheController.begin(), kOfTheController.end(), one.metric) !=
         kOfTheController.end();
}

/// Moves the recording by `later_s` and drops what comes before `start_s` of it.
void move(bench::PlayedRow& row, double start_s, double later_s) {
  std::erase_if(row.edges, [&](const bench::EdgePair& one) { return one.rising_s < start_s; });
  std::erase_if(row.drives, [&](const bench::DrivenTime& one) { return one.on_s < start_s; });
  for (std::size_t k = 0; k < row.edges.size(); ++k) {
    row.edges[k].rising_s += later_s;
    row.edges[k].falling_s += later_s;
    row.edges[k].seed = static_cast<int>(k);
  }
  for (bench::DrivenTime& one : row.drives) {
    one.on_s += later_s;
    one.off_s += later_s;
  }
}

double first_edge_s(const Capture& capture, double start_s) {
  double first_s = HUGE_VAL;
  for (const bench::PlayedRow& row : capture.rows)
    for (const bench::EdgePair& edge : row.edges)
      if (edge.rising_s >= start_s) first_s = std::min(first_s, edge.rising_s);
  return first_s;
}

/// The table's current at the flow that the rate wants, as the reference drives its valve.
std::uint32_t drive_current_ma(const scenario::Scenario& scenario, const tune::TunedTable& tuned) {
  const sillion_attachment_table& table = tuned.table;
  const double wanted_mm3ps = tuned.flow_m3ps * 1e9;
  int k = 1;
  while (k + 1 < table.points && table.flow_mm3ps[k] < wanted_mm3ps) ++k;
  if (table.points < 2 || scenario.row.physics != scenario::RowPhysics::kFull)
    return static_cast<std::uint32_t>(table.current_ma[0]);
  const double from_mm3ps = table.flow_mm3ps[k - 1];
  const double share_ratio =
      std::clamp((wanted_mm3ps - from_mm3ps) / (table.flow_mm3ps[k] - from_mm3ps), 0.0, 1.0);
  return static_cast<std::uint32_t>(std::lround(
      table.current_ma[k - 1] + share_ratio * (table.current_ma[k] - table.current_ma[k - 1])));
}

double fastest_mps(const scenario::Scenario& scenario) {
  double fastest_mps = 0.0;
  for (const model::TravelKnot& knot : bench::travel_of(scenario).knots)
    fastest_mps = std::max(fastest_mps, knot.speed_mps);
  return fastest_mps;
}

}  // namespace

Score score_of(const scenario::Scenario& setup, Capture capture, const ScoreOptions& options) {
  Score score{.lasts_s = capture.lasts_s,
              .resolution_s = capture.resolution_s,
              .resolution_known = capture.resolution_known};
  const double first_s = first_edge_s(capture, options.start_s);
  if (!std::isfinite(first_s))
    throw text::InputError("the recording has no edge of a seed sensor from --start on");
  if (first_s < kHeard_s) score.later_s = std::ceil((bench::kWarmUp_s - first_s) * 100.0) / 100.0;

  run::RunResult& result = score.result;
  result.scenario = setup;
  result.scenario.row.count = static_cast<int>(capture.rows.size());
  result.scenario.duration_s = 0.0;
  result.scenario.controller.row_trim = false;
  for (const scenario::Requirement& one : setup.requirements)
    if (of_the_controller(one)) score.unjudged.push_back(one.metric);
  std::erase_if(result.scenario.requirements, of_the_controller);
  result.tuned = tune::tune_once(result.scenario);
  run::require_servable(result.scenario, result.tuned);

  bench::Played played;
  played.on.current_ma = drive_current_ma(result.scenario, result.tuned);
  if (!options.off_decays_fast) played.off.state = SILLION_BRIDGE_SLOW_DECAY;
  played.end_s = capture.lasts_s + score.later_s;
  played.rows = std::move(capture.rows);
  std::size_t seeds = 0;
  for (bench::PlayedRow& row : played.rows) {
    move(row, options.start_s, score.later_s);
    score.pulses += static_cast<int>(row.drives.size());
    seeds = std::max(seeds, row.edges.size());
  }
  result.scenario.seeds = static_cast<int>(seeds);
  score.half_resolution_m = 0.5 * score.resolution_s * fastest_mps(result.scenario);
  result.record = bench::run_pass(result.scenario, result.tuned.table, {},
                                  {.watch = run::RunOptions{}.watch,
                                   .stop = options.stop,
                                   .on_progress = options.on_progress,
                                   .played = &played});
  run::sum_up(result);
  return score;
}

std::vector<std::string> recording_lines(const Score& score, output::Units units) {
  const bool us = units == output::Units::kUs;
  const std::string half = us ? fmt::format("{:.4f} in", score.half_resolution_m / 0.0254)
                              : fmt::format("{:.3f} mm", score.half_resolution_m * 1e3);
  std::vector<std::string> lines{fmt::format(
      "recording: {} row{}, {:.1f} s, {} pulses; instants to {:g} us{}, which is up to {} of "
      "placement either way",
      score.result.record.rows.size(), score.result.record.rows.size() == 1 ? "" : "s",
      score.lasts_s, score.pulses, score.resolution_s * 1e6,
      score.resolution_known ? "" : " (the shortest time between two lines)", half)};
  if (score.later_s > 0.0)
    lines.push_back(fmt::format(
        "instants of the results are {:.2f} s later than those of the recording", score.later_s));
  if (!score.unjudged.empty()) {
    std::string names;
    for (const std::string& name : score.unjudged) names += (names.empty() ? "" : ", ") + name;
    lines.push_back("not judged, because pins do not show it: " + names);
  }
  return lines;
}

run::ReportExtra recording_extra(const Score& score, output::Units units) {
  run::ReportExtra extra;
  std::string inner;
  for (const std::string& line : recording_lines(score, units))
    inner += output::paragraph_html(line + ".");
  inner += output::paragraph_html(
      "Seeds are those whose edge was recorded: seeds that the sensor missed are unknown here. "
      "Each "
      "band is what the model lays for the recorded drive.");
  extra.section = output::section_html("The recording", inner);
  extra.summary_key = "recording";
  extra.summary = output::json_text({{"rows", score.result.record.rows.size()},
                                     {"lasts_s", score.lasts_s},
                                     {"later_s", score.later_s},
                                     {"pulses", score.pulses},
                                     {"resolution_s", score.resolution_s},
                                     {"resolution_known", score.resolution_known},
                                     {"half_resolution_m", score.half_resolution_m},
                                     {"not_judged", score.unjudged}});
  return extra;
}

}  // namespace sim::score
