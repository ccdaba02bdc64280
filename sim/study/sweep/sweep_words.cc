#include "sim/study/sweep/sweep_words.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "sim/output/shown_units.h"
#include "sim/study/run/plots.h"
#include "sim/study/run/sentences.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/cell_maps.h"

namespace sim::sweep {
namespace {

double share_ratio(const SweepCell& cell) { return cell.summary.all.within[0].sensed_ratio; }

std::string cells_word(const SweepResult& result, std::size_t count) {
  const bool grid = result.sampling == scenario::Sampling::kGrid;
  if (count == 1) return grid ? "cell" : "sample";
  return grid ? "cells" : "samples";
}

std::string counted_cells(const SweepResult& result, std::size_t count) {
  return std::to_string(count) + " " + cells_word(result, count);
}

/// Over all cells: each violated requirement with the number of cells that violate it, largest
/// first.
std::string violations_words(const SweepResult& result) {
  std::map<std::string, std::size_t> count;
  for (const SweepCell& cell : result.cells)
    for (const std::string& name : violated_names(cell)) ++count[name];
  std::vector<std::pair<std::size_t, std::string>> most;
  for (const auto& [name, cells] : count) most.emplace_back(cells, name);
  std::stable_sort(most.begin(), most.end(),
                   [](const auto& a, const auto& b) { return a.first > b.first; });
  std::string words;
  for (const auto& [cells, name] : most)
    words += (words.empty() ? "" : ", ") + name + " in " + std::to_string(cells);
  return words;
}

bool states_requirements(const SweepResult& result) {
  return std::any_of(result.cells.begin(), result.cells.end(),
                     [](const SweepCell& cell) { return !cell.summary.requirements.empty(); });
}

std::string verdict_of_all(const SweepResult& result, const CellCounts& count) {
  if (!states_requirements(result)) {
    std::size_t good = 0;
    for (const SweepCell& cell : result.cells)
      if (cell.served() && share_ratio(cell) >= run::kGoal_ratio) ++good;
    return std::to_string(good) + " of " + counted_cells(result, count.cells) + " reach 95 %";
  }
  std::string words = "every requirement holds in " + std::to_string(count.hold) + " of " +
                      counted_cells(result, count.cells);
  if (count.violated > 0)
    words +=
        "; violated in " + std::to_string(count.violated) + " (" + violations_words(result) + ")";
  if (count.no_data > 0) words += "; nothing to judge by in " + std::to_string(count.no_data);
  return words;
}

}  // namespace

const char* cell_word(const SweepCell& cell) {
  if (cell.failed()) return "failed";
  if (!cell.servable) return "not servable";
  switch (cell.summary.verdict) {
    case measure::Verdict::kHold: return "holds";
    case measure::Verdict::kFail: return "violated";
    case measure::Verdict::kWrongSeed: return "wrong seed";
    case measure::Verdict::kNoData: return "no data";
    case measure::Verdict::kNone: break;
  }
  return "no requirement";
}

bool is_violated(const SweepCell& cell) {
  if (!cell.served()) return false;
  switch (cell.summary.verdict) {
    case measure::Verdict::kFail:
    case measure::Verdict::kWrongSeed: return true;
    case measure::Verdict::kNone: return !(share_ratio(cell) >= run::kGoal_ratio);
    case measure::Verdict::kHold:
    case measure::Verdict::kNoData: break;
  }
  return false;
}

std::vector<std::string> violated_names(const SweepCell& cell) {
  std::vector<std::string> names;
  if (!cell.served()) return names;
  if (cell.summary.verdict == measure::Verdict::kWrongSeed) names.emplace_back("wrong seed");
  for (const measure::RequirementResult& one : cell.summary.requirements) {
    if (!one.seen || one.holds) continue;
    std::string name = one.name;
    for (const char* sense : {" at least", " at most"})
      if (name.ends_with(sense)) name.resize(name.size() - std::string_view(sense).size());
    if (std::find(names.begin(), names.end(), name) == names.end()) names.push_back(name);
  }
  return names;
}

std::string cell_verdict(const SweepCell& cell) {
  std::string words = cell_word(cell);
  const std::vector<std::string> names = violated_names(cell);
  for (std::size_t k = 0; k < names.size(); ++k) words += (k == 0 ? ": " : ", ") + names[k];
  return words;
}

std::string violated_in_short(const SweepCell& cell) {
  std::vector<std::string> topics;
  for (const std::string& name : violated_names(cell)) {
    const std::string topic = name.substr(0, name.find_first_of("_ "));
    if (std::find(topics.begin(), topics.end(), topic) == topics.end()) topics.push_back(topic);
  }
  constexpr std::size_t kMostShown = 2;
  std::string words;
  for (std::size_t k = 0; k < std::min(topics.size(), kMostShown); ++k)
    words += (k == 0 ? "" : ", ") + topics[k];
  if (topics.size() > kMostShown) words += " +" + std::to_string(topics.size() - kMostShown);
  return words;
}

std::vector<std::string> cell_labels(const SweepResult& result, const SweepCell& cell,
                                     output::Units units) {
  std::vector<std::string> labels;
  for (std::size_t axis = 0; axis < cell.values.size(); ++axis)
    labels.push_back(axis_label(result.axes[axis].key, cell.values[axis], units));
  return labels;
}

std::string cell_values_words(const SweepResult& result, const SweepCell& cell,
                              output::Units units) {
  std::string words;
  for (const std::string& label : cell_labels(result, cell, units))
    words += (words.empty() ? "" : ", ") + label;
  return words.empty() ? "the only cell" : words;
}

CellCounts count_cells(const std::vector<SweepCell>& cells) {
  CellCounts count{.cells = cells.size()};
  for (const SweepCell& cell : cells) {
    if (cell.failed()) {
      ++count.failed;
    } else if (!cell.servable) {
      ++count.not_servable;
      count.unservable_required += cell.scenario.requirements.empty() ? 0 : 1;
    } else if (cell.summary.verdict == measure::Verdict::kNoData) {
      ++count.no_data;
    } else if (cell.summary.verdict == measure::Verdict::kHold) {
      ++count.hold;
    } else if (cell.summary.verdict != measure::Verdict::kNone) {
      ++count.violated;
    }
  }
  return count;
}

const SweepCell* lowest_cell(const SweepResult& result) {
  const SweepCell* lowest = nullptr;
  for (const SweepCell& cell : result.cells) {
    if (!cell.served() || std::isnan(share_ratio(cell))) continue;
    if (lowest == nullptr || share_ratio(cell) < share_ratio(*lowest)) lowest = &cell;
  }
  return lowest;
}

std::string sweep_sentence(const SweepResult& result, output::Units units) {
  const CellCounts count = count_cells(result.cells);
  std::string sentence;
  if (const SweepCell* lowest = lowest_cell(result)) {
    sentence = run::within_words(lowest->summary, units);
    sentence += count.cells == 1 ? " at " + cell_values_words(result, *lowest, units)
                                 : " in the worst of " + counted_cells(result, count.cells) + " (" +
                                       cell_values_words(result, *lowest, units) + ")";
    sentence += "; ";
  }
  sentence += verdict_of_all(result, count);
  if (count.not_servable > 0)
    sentence +=
        "; " + std::to_string(count.not_servable) + " cannot be served with their outlet offset";
  if (count.failed > 0) sentence += "; " + std::to_string(count.failed) + " failed";
  return sentence;
}

std::string sweep_margin_sentence(const SweepResult& result, output::Units units) {
  double least_m = statistics::kNone_ratio, most_m = statistics::kNone_ratio;
  std::size_t reaching = 0;
  for (const SweepCell& cell : result.cells) {
    const double more_m = break_even_m(cell);
    if (!cell.served() || !(more_m > 0.0)) continue;
    ++reaching;
    least_m = std::isfinite(least_m) ? std::min(least_m, more_m) : more_m;
    most_m = std::isfinite(most_m) ? std::max(most_m, more_m) : more_m;
  }
  const std::string goal = run::goal_words(units);
  if (reaching == 0) return goal + " is reached in no cell.";
  const std::string least = output::shown(least_m, output::Measure::kPlace, units);
  const std::string most = output::shown(most_m, output::Measure::kPlace, units);
  const std::string stands =
      least == most ? most : least + " in the tightest to " + most + " in the widest";
  return goal + " is reached in " + std::to_string(reaching) + " of " +
         counted_cells(result, result.cells.size()) + ", which " +
         (reaching == 1 ? "tolerates " : "tolerate ") + stands +
         " (sd) of further scatter below the sensor.";
}

}  // namespace sim::sweep
