// Which cells of a grid belong to which map: pairs of axes, and how the other axes are treated.
#include <algorithm>
#include <cmath>

#include "sim/output/shown_units.h"
#include "sim/study/run/plots.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/cell_maps.h"

namespace sim::sweep {
namespace {

struct Pair {
  std::size_t across = 0;
  std::size_t up = 0;
};

std::size_t axis_of(const SweepResult& result, const std::string& key, std::size_t otherwise) {
  for (std::size_t i = 0; i < result.axes.size(); ++i)
    if (result.axes[i].key == key) return i;
  return otherwise;
}

struct Varied {
  std::vector<std::size_t> mapped;   // in the order in which they are paired
  std::vector<std::size_t> choices;  // axes of words: each value has a map of its own
};

// Speed, whichever axis it is, is drawn across; spacing is the first choice for the axis that is
// drawn up. The worst over several attachments would say nothing useful, so axes of words become
// choices as long as two quantities make a pair.
Varied varied_axes(const SweepResult& result) {
  Varied varied;
  for (std::size_t i = 0; i < result.axes.size(); ++i) {
    if (result.axes[i].values.size() < 2) continue;
    const bool quantity = std::isfinite(axis_value_si(result.axes[i].values.front()));
    (quantity ? varied.mapped : varied.choices).push_back(i);
  }
  while (varied.mapped.size() < 2 && !varied.choices.empty()) {
    varied.mapped.push_back(varied.choices.front());
    varied.choices.erase(varied.choices.begin());
  }
  for (const char* first : {"seeding.spacing", "travel.speed"}) {
    const auto found = std::find(varied.mapped.begin(), varied.mapped.end(),
                                 axis_of(result, first, result.axes.size()));
    if (found != varied.mapped.end()) std::rotate(varied.mapped.begin(), found, found + 1);
  }
  return varied;
}

std::vector<Pair> pairs_of(const SweepResult& result, const std::vector<std::size_t>& varied) {
  if (varied.size() < 2) {
    // A single line of cells, or a single cell.
    const std::size_t across = varied.empty() ? axis_of(result, "travel.speed", 0) : varied.front();
    return {{across, across}};
  }
  std::vector<Pair> pairs;
  for (std::size_t i = 0; i < varied.size(); ++i)
    for (std::size_t k = i + 1; k < varied.size(); ++k) pairs.push_back({varied[i], varied[k]});
  return pairs;
}

// Values of the choices, empty for the other axes: one list for each combination.
std::vector<std::vector<std::string>> choices_of(const SweepResult& result,
                                                 const std::vector<std::size_t>& choices) {
  std::vector<std::vector<std::string>> all = {std::vector<std::string>(result.axes.size())};
  for (const std::size_t axis : choices) {
    std::vector<std::vector<std::string>> more;
    for (const std::vector<std::string>& held : all)
      for (const std::string& value : result.axes[axis].values) {
        more.push_back(held);
        more.back()[axis] = value;
      }
    all = std::move(more);
  }
  return all;
}

// Order from worse to better: failed, not servable, wrong seed, no share, then the share of sensed
// seeds, lowered by 1 if a requirement fails.
double standing_ratio(const SweepCell& cell) {
  if (cell.failed()) return -4.0;
  if (!cell.servable) return -3.0;
  if (cell.summary.verdict == measure::Verdict::kWrongSeed) return -2.0;
  const double share_ratio = cell.summary.all.within[0].sensed_ratio;
  if (!std::isfinite(share_ratio)) return -1.5;
  return cell.summary.verdict == measure::Verdict::kFail ? share_ratio - 1.0 : share_ratio;
}

std::size_t place_on(const SweepResult& result, std::size_t cell, std::size_t axis) {
  const auto& values = result.axes[axis].values;
  return static_cast<std::size_t>(
      std::find(values.begin(), values.end(), result.cells[cell].values[axis]) - values.begin());
}

// The worst cell for each place of the map, over all axes that are not fixed by `held`.
CellMap map_of(const SweepResult& result, const Pair& pair, const std::vector<std::string>& held) {
  const std::size_t columns = result.axes[pair.across].values.size();
  const std::size_t lines = pair.up == pair.across ? 1 : result.axes[pair.up].values.size();
  const std::size_t none = result.cells.size();
  CellMap map{{}, pair.across, pair.up, std::vector<std::size_t>(columns * lines, none)};
  for (std::size_t cell = 0; cell < none; ++cell) {
    bool taken = true;
    for (std::size_t axis = 0; axis < result.axes.size(); ++axis)
      taken = taken && (held[axis].empty() || axis == pair.across || axis == pair.up ||
                        result.cells[cell].values[axis] == held[axis]);
    if (!taken) continue;
    const std::size_t line = pair.up == pair.across ? 0 : place_on(result, cell, pair.up);
    std::size_t& place = map.cells[line * columns + place_on(result, cell, pair.across)];
    if (place == none || standing_ratio(result.cells[cell]) < standing_ratio(result.cells[place]))
      place = cell;
  }
  return map;
}

std::string pair_words(const SweepResult& result, const Pair& pair) {
  std::string words = axis_words(result.axes[pair.across].key);
  if (pair.up != pair.across) words += " against " + axis_words(result.axes[pair.up].key);
  return words;
}

// "attachment: long hook; ground speed against spacing; at 5 bar", as far as the parts exist.
std::string heading_of(const SweepResult& result, const Pair& pair, const Varied& varied,
                       const std::vector<std::string>& held) {
  std::string choice, at, worst;
  for (std::size_t axis = 0; axis < result.axes.size(); ++axis) {
    if (axis == pair.across || axis == pair.up) continue;
    const std::string words = axis_words(result.axes[axis].key);
    if (std::find(varied.choices.begin(), varied.choices.end(), axis) != varied.choices.end())
      choice += (choice.empty() ? "" : ", ") + words + ": " + held[axis];
    else if (std::find(varied.mapped.begin(), varied.mapped.end(), axis) == varied.mapped.end())
      continue;
    else if (held[axis].empty())
      worst += (worst.empty() ? "the worst over " : " and ") + words;
    else
      at += (at.empty() ? "at " : ", ") + words + " " + held[axis];
  }
  std::string heading = choice;
  for (const std::string& part :
       {varied.mapped.size() > 2 ? pair_words(result, pair) : std::string(), at, worst})
    if (!part.empty()) heading += (heading.empty() ? "" : "; ") + part;
  return heading;
}

}  // namespace

std::string axis_words(const std::string& key) {
  if (key == "travel.speed") return "ground speed";
  if (key == "seeding.spacing") return "theoretical spacing";
  if (key == "attachment.name") return "attachment";
  if (key == "supply.pressure") return "pressure that the pump holds";
  if (key == "liquid.temperature") return "temperature of the liquid";
  if (key == "rate.in_band") return "in-band rate";
  if (key == "rate.band_length") return "band length";
  return key;
}

std::string axis_label(const std::string& key, const std::string& value, output::Units units) {
  struct Shown {
    const char* key;
    output::Measure measure;
  };
  constexpr Shown kShown[] = {{"travel.speed", output::Measure::kSpeed},
                              {"seeding.spacing", output::Measure::kPlace},
                              {"supply.pressure", output::Measure::kPressure},
                              {"liquid.temperature", output::Measure::kTemperature},
                              {"rate.in_band", output::Measure::kRate},
                              {"rate.band_length", output::Measure::kPlace}};
  const double value_si = axis_value_si(value);
  for (const Shown& one : kShown)
    if (key == one.key && std::isfinite(value_si))
      return output::shown_plain(value_si, one.measure, units);
  return value;
}

std::vector<CellMap> cell_maps(const SweepResult& result) {
  if (result.axes.empty() || result.cells.empty() || result.sampling != scenario::Sampling::kGrid)
    return {};
  const Varied varied = varied_axes(result);
  std::vector<CellMap> maps;
  const auto add = [&](const Pair& pair, const std::vector<std::string>& held) {
    maps.push_back(map_of(result, pair, held));
    maps.back().heading = heading_of(result, pair, varied, held);
  };
  for (const std::vector<std::string>& choice : choices_of(result, varied.choices))
    for (const Pair& pair : pairs_of(result, varied.mapped)) {
      if (varied.mapped.size() > 2 && !result.shown_values.empty()) {
        std::vector<std::string> held = result.shown_values;
        for (const std::size_t axis : varied.choices) held[axis] = choice[axis];
        add(pair, held);
      }
      add(pair, choice);
    }
  return maps;
}

}  // namespace sim::sweep
