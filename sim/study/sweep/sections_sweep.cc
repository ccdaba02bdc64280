#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/study/run/plots.h"
#include "sim/study/run/sections.h"
#include "sim/study/run/sentences.h"
#include "sim/study/sweep/axis_value.h"
#include "sim/study/sweep/cell_maps.h"
#include "sim/study/sweep/precision.h"
#include "sim/study/sweep/sweep_page.h"
#include "sim/study/sweep/sweep_words.h"

namespace sim::sweep {
namespace {

constexpr std::size_t kMostResponses = 12;

std::string passes_words(const SweepResult& result) {
  if (result.sampling == scenario::Sampling::kGrid && result.stop.plan.most > 0)
    return std::to_string(result.stop.plan.batch) + " to " + std::to_string(result.stop.plan.most) +
           " passes";
  return std::to_string(result.replicas) + (result.replicas == 1 ? " pass" : " passes");
}

std::string signed_number(double place_m, output::Units units) {
  const std::string text = output::shown_signed(place_m, output::Measure::kPlace, units);
  return text.substr(0, text.find(' '));
}

output::Table maps_table(const SweepResult& result, output::Units units) {
  output::Table table{
      "The cells as a table. Shares are of sensed seeds unless the column says placed.", {}, {}, 0};
  for (const SweepAxis& axis : result.axes) table.head.push_back(axis_words(axis.key));
  table.words = result.axes.size() + 1;
  for (const char* head : {"Requirements", "Within 10 mm", "lower 95 % bound", "of all placed",
                           "Error, mean ± sd", "Gap share", "Further scatter"})
    table.head.emplace_back(head);
  for (const SweepCell& cell : result.cells) {
    std::vector<std::string> line = cell_labels(result, cell, units);
    line.push_back(cell_verdict(cell));
    const measure::Figures& all = cell.summary.all;
    if (cell.failed()) {
      // the fault is a sentence: it goes into a column of words, which wraps
      line.back() += ": " + cell.fault_words;
      line.insert(line.end(), 6, "");
    } else if (cell.servable) {
      line.insert(line.end(),
                  {run::goal_share(all.within[0].sensed_ratio),
                   run::goal_share(all.within[0].lower95_ratio),
                   output::shown(all.within[0].placed_ratio, output::Measure::kShare, units),
                   signed_number(all.placement_error.mean_m, units) + " ± " +
                       output::shown(all.placement_error.sd_m, output::Measure::kPlace, units),
                   output::shown(all.gap_ratio, output::Measure::kShare, units),
                   output::shown(break_even_m(cell), output::Measure::kPlace, units)});
    } else {
      line.push_back("offset ≥ " +
                     output::shown(cell.tuned.smallest_offset_m, output::Measure::kPlace, units));
      line.insert(line.end(), 5, "");
    }
    table.lines.push_back(line);
  }
  return table;
}

std::string maps_heading(const SweepResult& result) {
  const std::vector<CellMap> maps = cell_maps(result);
  if (maps.empty()) return "Cells of the sweep";
  if (maps.front().across != maps.back().across || maps.front().up != maps.back().up)
    return "Response maps";
  std::string heading = axis_words(result.axes[maps[0].across].key);
  if (maps[0].up != maps[0].across)
    heading += " against " + axis_words(result.axes[maps[0].up].key);
  if (heading.front() >= 'a' && heading.front() <= 'z')
    heading.front() = static_cast<char>(heading.front() - 'a' + 'A');
  return heading;
}

std::string drawn_words(const SweepResult& result) {
  std::string words = result.sampling == scenario::Sampling::kRandom
                          ? "Drawn at random, each sample independently: "
                          : "Nets of Sobol points, each with a random shift of its own: ";
  bool first = true;
  for (const SweepAxis& axis : result.axes) {
    if (axis.drawn.empty()) continue;
    words += (first ? "" : "; ") + axis_words(axis.key) + " " + axis.drawn;
    first = false;
  }
  return words + ". " + passes_words(result) + " per sample.";
}

std::string group_words(const SweepResult& result, const SweepPrecision& group) {
  std::string words;
  for (std::size_t axis = 0; axis < result.axes.size(); ++axis)
    if (!group.held[axis].empty())
      words +=
          (words.empty() ? "" : ", ") + axis_words(result.axes[axis].key) + ": " + group.held[axis];
  return words;
}

/// A paragraph if a fault ended cells; the table below it has the fault's words.
std::string failed_words(const SweepResult& result) {
  std::size_t failed = 0;
  for (const SweepCell& cell : result.cells) failed += cell.failed() ? 1 : 0;
  if (failed == 0) return "";
  return output::paragraph_html(
      std::to_string(failed) + (failed == 1 ? " cell" : " cells") +
      " failed: the controller or the bench ended a pass before its end, as the table says.");
}

// One plot for each drawn axis of each combination of the listed axes.
std::string responses_section(const SweepResult& result, output::Units units) {
  std::string inner = output::paragraph_html(drawn_words(result)) +
                      output::paragraph_html(
                          "Each mark is a sample: dots reach 95 % of sensed seeds within "
                          "10 mm, crosses do not, grey crosses at the foot cannot be "
                          "served.") +
                      failed_words(result);
  std::size_t number = 0;
  for (const SweepPrecision& group : result.precision) {
    const std::string heading = group_words(result, group);
    for (std::size_t axis = 0; axis < result.axes.size() && number < kMostResponses; ++axis) {
      if (result.axes[axis].drawn.empty()) continue;
      inner += output::figure_html(response_svg(result, group, axis, number++, units),
                                   heading.empty() ? "Over all other drawn keys." : heading);
    }
  }
  if (number == kMostResponses)
    inner += output::paragraph_html("Further pictures are left out; the table holds every sample.");
  return output::section_html("Response over the samples",
                              inner + output::table_html(maps_table(result, units)));
}

}  // namespace

std::string maps_section(const SweepResult& result, output::Units units) {
  if (result.sampling != scenario::Sampling::kGrid) return responses_section(result, units);
  std::string inner =
      output::paragraph_html(
          "Each cell: share of sensed seeds within 10 mm, whether the requirements hold or what a "
          "violated one is about, and how much further scatter below the sensor the goal of 95 % "
          "tolerates. Blue: goal reached. Orange: not reached. Falling strokes: a requirement is "
          "violated, or where none is stated the goal is missed. Rising strokes: the cell cannot "
          "be served; the smallest outlet offset that would serve is stated.") +
      failed_words(result);
  const std::vector<CellMap> maps = cell_maps(result);
  for (std::size_t i = 0; i < maps.size(); ++i) {
    if (!maps[i].heading.empty()) inner += "<h3>" + output::escaped(maps[i].heading) + "</h3>\n";
    inner += output::figure_html(cell_map_svg(result, maps[i], i, units),
                                 passes_words(result) + " per cell.");
  }
  return output::section_html(maps_heading(result),
                              inner + output::table_html(maps_table(result, units)));
}

std::string precision_section(const SweepResult& result, output::Units units) {
  if (result.precision.empty()) return "";
  std::string inner = output::paragraph_html(precision_sentence(result, units) + ".");
  bool any = result.stop.plan.most > 0;
  for (const SweepPrecision& one : result.precision) any = any || one.observations > 1;
  inner += any ? output::table_html(precision_table(result, units))
               : output::paragraph_html(
                     "One " + result.stop.observed +
                     " has no interval: at least two are needed to see how much they scatter.");
  return output::section_html("How sure, and whether it is enough",
                              inner + output::paragraph_html(stop_sentence(result, units)));
}

}  // namespace sim::sweep
