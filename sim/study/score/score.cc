#include "sim/study/score/score.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <nlohmann/json.hpp>

#include "sim/bench/travel_of.h"
#include "sim/measure/summary_parts.h"
#include "sim/output/html.h"
#include "sim/output/json_text.h"
#include "sim/study/score/score_setup.h"
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

}  // namespace

double fastest_mps(const scenario::Scenario& scenario) {
  double fastest_mps = 0.0;
  for (const model::TravelKnot& knot : bench::travel_of(scenario).knots)
    fastest_mps = std::max(fastest_mps, knot.speed_mps);
  return fastest_mps;
}

void Moved::take(bench::PlayedPart& part) {
  if (left_out_) part.before_off_s = statistics::kNone_ratio;
  part.before_off_s += later_s_;
  if (!part.drives.empty()) left_out_ = part.drives.back().on_s < start_s_;
  std::erase_if(part.edges, [&](const bench::EdgePair& one) { return one.rising_s < start_s_; });
  std::erase_if(part.drives, [&](const bench::DrivenTime& one) { return one.on_s < start_s_; });
  for (bench::EdgePair& edge : part.edges) {
    edge.rising_s += later_s_;
    edge.falling_s += later_s_;
    edge.seed = seeds_++;
  }
  for (bench::DrivenTime& one : part.drives) {
    one.on_s += later_s_;
    one.off_s += later_s_;
  }
}

double later_than_recorded_s(double first_s, double lasts_s, const std::vector<std::string>& doubts,
                             const ScoreOptions& options) {
  if (!std::isfinite(first_s)) {
    std::string why;
    for (const std::string& doubt : doubts) why += "; " + doubt;
    throw text::InputError(
        options.start_s > 0.0
            ? fmt::format("{}: no seed sensor rises from --start {:g} s on; the recording lasts "
                          "{:.6g} s{}",
                          options.recording, options.start_s, lasts_s, why)
            : fmt::format("{}: no seed sensor rises in {:.6g} s{}", options.recording, lasts_s,
                          why));
  }
  return first_s < kHeard_s ? std::ceil((bench::kWarmUp_s - first_s) * 100.0) / 100.0 : 0.0;
}

void set_up(const scenario::Scenario& setup, std::size_t rows, Score& score) {
  run::RunResult& result = score.result;
  result.scenario = setup;
  result.scenario.row.count = static_cast<int>(rows);
  result.scenario.duration_s = 0.0;
  result.scenario.controller.row_trim = false;
  for (const scenario::Requirement& one : setup.requirements)
    if (of_the_controller(one)) score.unjudged.push_back(one.metric);
  std::erase_if(result.scenario.requirements, of_the_controller);
  result.tuned = tune::tune_once(result.scenario);
  run::require_servable(result.scenario, result.tuned);
}

bench::Played played_with(const Score& score, const ScoreOptions& options) {
  bench::Played played;
  played.on.current_ma = drive_current_ma(score.result.scenario, score.result.tuned);
  if (!options.off_decays_fast) played.off.state = SILLION_BRIDGE_SLOW_DECAY;
  return played;
}

namespace {

double first_edge_s(const Capture& capture, double start_s) {
  double first_s = HUGE_VAL;
  for (const bench::PlayedRow& row : capture.rows)
    for (const bench::EdgePair& edge : row.edges)
      if (edge.rising_s >= start_s) first_s = std::min(first_s, edge.rising_s);
  return first_s;
}

/// The openings of all rows, of a recording that was held.
void compare_openings(const Capture& capture, const ScoreOptions& options, Score& score) {
  for (std::size_t row = 0; row < score.result.record.rows.size(); ++row) {
    RowOpenings openings(score.result.scenario, static_cast<int>(row));
    std::vector<SeenOpening> judged = capture.openings[row];
    std::erase_if(judged, [&](const SeenOpening& one) { return one.command_s < options.start_s; });
    openings.expect(judged, score.later_s);
    std::string lines;
    openings.compare(score.result.record.rows[row].coil.openings, HUGE_VAL, lines);
    score.opening_lines.emplace_back(options.folder).append(lines);
    score.openings.push_back(openings.figures());
  }
}

}  // namespace

Score score_of(const scenario::Scenario& setup, Capture capture, const ScoreOptions& options) {
  Score score;
  score.lasts_s = capture.lasts_s;
  score.resolution_s = capture.resolution_s;
  score.resolution_known = capture.resolution_known;
  score.current_step_s = capture.current_step_s;
  score.later_s = later_than_recorded_s(first_edge_s(capture, options.start_s), capture.lasts_s,
                                        capture.doubts, options);
  score.doubts = capture.doubts;
  set_up(setup, capture.rows.size(), score);
  run::RunResult& result = score.result;

  bench::Played played = played_with(score, options);
  played.end_s = capture.lasts_s + score.later_s;
  std::size_t seeds = 0;
  for (bench::PlayedRow& row : capture.rows) {
    bench::PlayedPart part{.edges = std::move(row.edges), .drives = std::move(row.drives)};
    Moved(options.start_s, score.later_s).take(part);
    played.rows.push_back({std::move(part.edges), std::move(part.drives)});
    score.pulses += static_cast<long long>(played.rows.back().drives.size());
    seeds = std::max(seeds, played.rows.back().edges.size());
  }
  result.scenario.seeds = static_cast<int>(seeds);
  score.half_resolution_m = 0.5 * score.resolution_s * fastest_mps(result.scenario);
  result.record = bench::run_pass(result.scenario, result.tuned.table, {},
                                  {.watch = run::RunOptions{}.watch,
                                   .stop = options.stop,
                                   .on_progress = options.on_progress,
                                   .keep_coil = score.current_step_s > 0.0,
                                   .played = &played});
  run::sum_up(result);
  if (score.current_step_s > 0.0) compare_openings(capture, options, score);
  return score;
}

run::LongTables long_tables(Score& score) {
  run::LongTables tables;
  for (Score::RowTables& row : score.tables) {
    tables.seeds.push_back(&row.seeds);
    tables.applied.push_back(&row.applied);
  }
  return tables;
}

namespace {

OpeningFigures all_openings(const Score& score) {
  OpeningFigures all;
  for (const OpeningFigures& row : score.openings) all.take(row);
  return all;
}

}  // namespace

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
  for (const std::string& line : opening_lines(all_openings(score), score.current_step_s, units))
    lines.push_back(line);
  for (const std::string& doubt : score.doubts) lines.push_back("caution: " + doubt);
  if (score.drawn_seeds >= 0)
    lines.push_back(fmt::format(
        "scored as it was read: quantiles are known to {:g} um; drawings show the first {} seeds",
        0.5e6 * measure::kErrorCell_m, score.drawn_seeds));
  if (score.held_for_time)
    lines.push_back("held in memory, because requirements over time need all of it");
  if (!score.unjudged.empty()) {
    std::string names;
    for (const std::string& name : score.unjudged) names += (names.empty() ? "" : ", ") + name;
    lines.push_back("not judged, because pins do not show it: " + names);
  }
  return lines;
}

run::ReportExtra recording_extra(Score& score, output::Units units) {
  run::ReportExtra extra;
  std::string inner;
  for (const std::string& line : recording_lines(score, units))
    inner += output::paragraph_html(line + ".");
  inner += output::paragraph_html(
      "Seeds are those whose edge was recorded: seeds that the sensor missed are unknown here. "
      "Each "
      "band is what the model lays for the recorded drive.");
  extra.section = output::section_html("The recording", inner) +
                  opening_section(score.openings, score.current_step_s, units);
  if (!score.opening_lines.empty()) {
    extra.files.push_back({"openings.csv", openings_header()});
    for (output::SpilledText& row : score.opening_lines) extra.files.back().behind.push_back(&row);
  }
  extra.summary_key = "recording";
  nlohmann::ordered_json object{{"rows", score.result.record.rows.size()},
                                {"lasts_s", score.lasts_s},
                                {"later_s", score.later_s},
                                {"pulses", score.pulses},
                                {"resolution_s", score.resolution_s},
                                {"resolution_known", score.resolution_known},
                                {"half_resolution_m", score.half_resolution_m},
                                {"not_judged", score.unjudged}};
  if (score.drawn_seeds >= 0) {
    object["drawn_seeds"] = score.drawn_seeds;
    object["quantile_cell_m"] = measure::kErrorCell_m;
  }
  if (!score.doubts.empty()) object["doubts"] = score.doubts;
  if (score.current_step_s > 0.0)
    object["current"] =
        nlohmann::ordered_json::parse(opening_json(all_openings(score), score.current_step_s));
  extra.summary = output::json_text(object);
  return extra;
}

}  // namespace sim::score
