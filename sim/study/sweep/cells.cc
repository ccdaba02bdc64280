#include <array>
#include <nlohmann/json.hpp>
#include <vector>

#include "sim/output/json_list.h"
#include "sim/output/json_text.h"
#include "sim/output/number_text.h"
#include "sim/statistics/intervals.h"
#include "sim/study/run/seal.h"
#include "sim/study/run/summary_fields.h"
#include "sim/study/run/tables.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/precision.h"
#include "sim/study/sweep/sweep_page.h"

namespace sim::sweep {
namespace {

using Json = nlohmann::ordered_json;

/// A figure like a mean, with its name in cells.csv; its interval is taken over the rows of all
/// replicas.
struct CellFigure {
  const char* name;
  const char* unit;
  double (*read_si)(const measure::Figures&);
};

constexpr std::array kFigures = {
    CellFigure{"placement_error_mean", "m",
               [](const measure::Figures& f) { return f.placement_error.mean_m; }},
    CellFigure{"placement_error_sd", "m",
               [](const measure::Figures& f) { return f.placement_error.sd_m; }},
    CellFigure{"placement_error_p05", "m",
               [](const measure::Figures& f) { return f.placement_error.p05_m; }},
    CellFigure{"placement_error_p50", "m",
               [](const measure::Figures& f) { return f.placement_error.p50_m; }},
    CellFigure{"placement_error_p95", "m",
               [](const measure::Figures& f) { return f.placement_error.p95_m; }},
    CellFigure{"placement_error_abs_p95", "m",
               [](const measure::Figures& f) { return f.placement_error.abs_p95_m; }},
    CellFigure{"band_length_mean", "m",
               [](const measure::Figures& f) { return f.band_length.mean_m; }},
    CellFigure{"band_length_sd", "m", [](const measure::Figures& f) { return f.band_length.sd_m; }},
    CellFigure{"dose_mean", "m3", [](const measure::Figures& f) { return f.dose_mean_m3; }},
    CellFigure{"dose_sd", "m3", [](const measure::Figures& f) { return f.dose_sd_m3; }},
    CellFigure{"dose_within_10_percent_sensed", "ratio",
               [](const measure::Figures& f) { return f.dose_within_10_percent_sensed_ratio; }},
    CellFigure{"length_within_10mm_sensed", "ratio",
               [](const measure::Figures& f) { return f.length_within_10mm_sensed_ratio; }},
    CellFigure{"on_target_mean", "ratio",
               [](const measure::Figures& f) { return f.on_target_mean_ratio; }},
    CellFigure{"gap", "ratio", [](const measure::Figures& f) { return f.gap_ratio; }},
    CellFigure{"secondary_mean", "ratio",
               [](const measure::Figures& f) { return f.secondary_mean_ratio; }},
    CellFigure{"in_band_rate", "m3pm2",
               [](const measure::Figures& f) { return f.in_band_rate_m3pm2; }},
    CellFigure{"field_rate", "m3pm2", [](const measure::Figures& f) { return f.field_rate_m3pm2; }},
};
constexpr std::array<const char*, 3> kWithin = {"within_10mm", "within_25mm", "within_half_band"};

/// By index of kFigures: as kept with the cell, or from its rows where these are still there.
std::vector<statistics::Interval> intervals_of(const SweepCell& cell) {
  return cell.intervals.empty() ? cell_intervals(cell.summary) : cell.intervals;
}

std::string quoted(const std::string& text) {
  if (text.find_first_of(",\"\n\r") == std::string::npos) return text;
  std::string safe = "\"";
  for (const char c : text) safe += c == '"' ? std::string("\"\"") : std::string(1, c);
  return safe + "\"";
}

std::string header(const SweepResult& result) {
  std::string text;
  for (const SweepAxis& axis : result.axes) text += quoted(axis_column(axis)) + ",";
  text +=
      "status,smallest_offset_m,verdict,serves_rate,seeds_placed,seeds_sensed,seeds_banded,seeds_"
      "merged,"
      "seeds_shared,seeds_edge_missed,seeds_no_band,seeds_weak,stray_bands,lag_seeds";
  for (const char* name : kWithin)
    text += std::string(",") + name + "_placed_ratio," + name + "_sensed_ratio," + name +
            "_lower95_ratio";
  for (const CellFigure& figure : kFigures)
    for (const char* part : {"", "_low95", "_high95"})
      text += std::string(",") + figure.name + part + "_" + figure.unit;
  return text +
         ",jet_speed_mps,thrust_over_seed_weight_ratio,may_move_seed,break_even_scatter_m,delay_s,"
         "simulated_s\n";
}

std::string cell_line(const SweepResult& result, const SweepCell& cell) {
  std::string text;
  for (std::size_t axis = 0; axis < result.axes.size(); ++axis)
    text += quoted(axis_value(cell.values[axis])) + ",";
  // If no pass ran to its end, every figure after the smallest offset is empty, except the delay
  // that makes the cell not servable.
  const std::size_t commas = 12 + 3 * kWithin.size() + 3 * kFigures.size() + 4;
  if (cell.failed())
    return text + quoted("failed: " + cell.fault_words) + "," + std::string(commas, ',') + ",,\n";
  text += std::string(cell.servable ? "served" : "not servable") + "," +
          output::number_text(cell.tuned.smallest_offset_m);
  if (!cell.servable) {
    return text + std::string(commas, ',') + "," +
           output::number_text(cell.tuned.delay_at_speed_s) + ",\n";
  }
  const measure::Summary& summary = cell.summary;
  const measure::SeedCounts& seeds = summary.all.seeds;
  text += std::string(",") + measure::verdict_word(summary.verdict) +
          (cell.tuned.serves_rate ? ",true" : ",false");
  for (const long long count :
       {seeds.placed, seeds.sensed, seeds.banded, seeds.merged, seeds.shared, seeds.edge_missed,
        seeds.no_band, seeds.weak, summary.all.stray_bands})
    text += "," + std::to_string(count);
  text += "," + std::to_string(summary.all.lag_seeds);
  for (const measure::WithinTolerance& one : summary.all.within)
    text += "," + output::number_text(one.placed_ratio) + "," +
            output::number_text(one.sensed_ratio) + "," + output::number_text(one.lower95_ratio);
  const std::vector<statistics::Interval> intervals = intervals_of(cell);
  for (std::size_t k = 0; k < kFigures.size(); ++k)
    text += "," + output::number_text(kFigures[k].read_si(summary.all)) + "," +
            output::number_text(intervals[k].low_si) + "," +
            output::number_text(intervals[k].high_si);
  text += "," + output::number_text(summary.jet.speed_mps) + "," +
          output::number_text(summary.jet.thrust_over_seed_weight_ratio);
  text += summary.jet.may_move_seed ? ",true" : ",false";
  for (const double value : {break_even_m(cell), cell.tuned.delay_at_speed_s, summary.simulated_s})
    text += "," + output::number_text(value);
  return text + "\n";
}

Json cell_fields(const SweepResult& result, const SweepCell& cell) {
  Json object = Json::object();
  Json values = Json::object();
  for (std::size_t axis = 0; axis < result.axes.size(); ++axis)
    values[result.axes[axis].key] = cell.values[axis];
  object["values"] = values;
  object["status"] = cell.failed() ? "failed" : cell.servable ? "served" : "not servable";
  if (cell.failed()) {
    object["fault_of"] = cell.fault == CellFault::kController ? "controller" : "bench";
    object["fault"] = cell.fault_words;
    return object;
  }
  object["smallest_offset_m"] = output::number_or_null(cell.tuned.smallest_offset_m);
  if (cell.servable) {
    run::add_summary(object, cell.summary);
    object.erase("rows");  // a run's file lists its rows; here they only serve the intervals
    run::add_later(object, cell.summary);
    object["break_even_scatter_m"] = output::number_or_null(break_even_m(cell));
    Json intervals = Json::object();
    const std::vector<statistics::Interval> found = intervals_of(cell);
    for (std::size_t k = 0; k < kFigures.size(); ++k)
      intervals[std::string(kFigures[k].name) + "_" + kFigures[k].unit] = {
          {"low95", output::number_or_null(found[k].low_si)},
          {"high95", output::number_or_null(found[k].high_si)}};
    object["intervals"] = intervals;
  }
  object["tuned"] = run::tuned_fields(cell.tuned);
  return object;
}

Json count_fields(const SweepResult& result) {
  long long servable = 0, hold = 0, fail = 0, wrong = 0, none = 0, failed = 0;
  for (const SweepCell& cell : result.cells) {
    failed += cell.failed() ? 1 : 0;
    if (!cell.served()) continue;
    ++servable;
    const measure::Verdict verdict = cell.summary.verdict;
    ++(verdict == measure::Verdict::kHold                                           ? hold
       : verdict == measure::Verdict::kFail                                         ? fail
       : verdict == measure::Verdict::kNone || verdict == measure::Verdict::kNoData ? none
                                                                                    : wrong);
  }
  const long long cells = static_cast<long long>(result.cells.size());
  Json counts = {
      {"cells", cells}, {"served", servable}, {"not_servable", cells - servable - failed},
      {"hold", hold},   {"fail", fail},       {"wrong_seed", wrong},
      {"none", none}};
  if (failed > 0) counts["failed"] = failed;
  return counts;
}

const char* sampling_word(scenario::Sampling sampling) {
  switch (sampling) {
    case scenario::Sampling::kGrid: return "grid";
    case scenario::Sampling::kRandom: return "random";
    case scenario::Sampling::kLowDiscrepancy: break;
  }
  return "low-discrepancy";
}

std::string sweep_text(const SweepResult& result, bool with_hashes) {
  Json object = Json::object();
  object["schema"] = "sillion.sweep.1";
  object["name"] = result.name;
  object["title"] = result.title;
  Json axes = Json::array();
  for (const SweepAxis& axis : result.axes)
    if (axis.drawn.empty())
      axes.push_back({{"key", axis.key}, {"values", axis.values}});
    else
      axes.push_back({{"key", axis.key}, {"values", axis.values}, {"drawn", axis.drawn}});
  object["axes"] = axes;
  object["replicas"] = result.replicas;
  object["counts"] = count_fields(result);
  object["cells"] = nullptr;  // written below, a cell at a time
  object["noise"] = run::noise_fields(result.shown.scenario);
  object["sampling"] = sampling_word(result.sampling);
  object["stop"] = stop_fields(result);
  Json precision = Json::array();
  for (const SweepPrecision& one : result.precision)
    precision.push_back(precision_fields(result, one));
  object["precision"] = precision;
  if (with_hashes) object["hashes"] = run::hash_fields(result.hashes);
  return output::json_text(
      object, {.key = "cells", .count = result.cells.size(), .entry = [&](std::size_t cell) {
                 return cell_fields(result, result.cells[cell]);
               }});
}

}  // namespace

std::vector<statistics::Interval> cell_intervals(const measure::Summary& summary) {
  std::vector<statistics::Interval> intervals;
  for (const CellFigure& figure : kFigures) {
    std::vector<double> by_row_si;
    by_row_si.reserve(summary.rows.size());
    for (const measure::Figures& row : summary.rows) by_row_si.push_back(figure.read_si(row));
    intervals.push_back(statistics::interval95(by_row_si));
  }
  return intervals;
}

std::string sweep_summary_json(const SweepResult& result) { return sweep_text(result, true); }

std::string unhashed_sweep_json(const SweepResult& result) { return sweep_text(result, false); }

std::string cells_csv(const SweepResult& result) {
  std::string text = header(result);
  for (const SweepCell& cell : result.cells) text += cell_line(result, cell);
  return text;
}

}  // namespace sim::sweep
