#include "sim/output/report.h"

#include "sim/output/axis_value.h"
#include "sim/output/html.h"
#include "sim/output/plots.h"
#include "sim/output/sections.h"
#include "sim/output/sentences.h"
#include "sim/output/shown_units.h"
#include "sim/output/svg.h"

namespace sim {
namespace {

std::string name_of(const std::string& title, const std::string& name) {
  return title.empty() ? name : title;
}

bool is_violated(const Summary& summary) {
  return summary.verdict == Verdict::kFail || summary.verdict == Verdict::kWrongSeed;
}

std::string signed_number(double place_m, Units units) {
  const std::string text = shown_signed(place_m, Measure::kPlace, units);
  return text.substr(0, text.find(' '));
}

Table maps_table(const SweepResult& result, Units units) {
  Table table{"The cells as a table. Shares are of sensed seeds unless it says placed.", {}, {}, 0};
  for (const SweepAxis& axis : result.axes) table.head.push_back(axis_words(axis.key));
  table.words = result.axes.size() + 1;
  for (const char* head : {"Verdict", "Within 10 mm", "lower 95 % bound", "of all placed",
                           "Error, mean ± sd", "Gap share", "Further scatter"})
    table.head.emplace_back(head);
  for (const SweepCell& cell : result.cells) {
    std::vector<std::string> line = cell.values;
    line.emplace_back(cell_word(cell));
    const Figures& all = cell.summary.all;
    if (cell.servable) {
      line.insert(line.end(), {shown(all.within[0].sensed_ratio, Measure::kShare, units),
                               shown(all.within[0].lower95_ratio, Measure::kShare, units),
                               shown(all.within[0].placed_ratio, Measure::kShare, units),
                               signed_number(all.placement_error.mean_m, units) + " ± " +
                                   shown(all.placement_error.sd_m, Measure::kPlace, units),
                               shown(all.gap_ratio, Measure::kShare, units),
                               shown(break_even_m(cell), Measure::kPlace, units)});
    } else {
      line.push_back("offset ≥ " + shown(cell.tuned.smallest_offset_m, Measure::kPlace, units));
      line.insert(line.end(), 5, "");
    }
    table.lines.push_back(line);
  }
  return table;
}

std::string maps_heading(const SweepResult& result) {
  const std::vector<CellMap> maps = cell_maps(result);
  if (maps.empty()) return "Cells of the sweep";
  std::string heading = axis_words(result.axes[maps[0].across].key);
  if (maps[0].up != maps[0].across)
    heading += " against " + axis_words(result.axes[maps[0].up].key);
  if (heading.front() >= 'a' && heading.front() <= 'z')
    heading.front() = static_cast<char>(heading.front() - 'a' + 'A');
  return heading;
}

std::string shown_cell_words(const SweepResult& result) {
  const Scenario& scenario = result.shown.scenario;
  return "What follows shows one pass of this sweep: " + name_of(scenario.title, scenario.name) +
         ".";
}

// What a run and the shown pass of a sweep have in common, from the figures to the controllers.
std::string pass_sections(const RunResult& run, Units units) {
  return error_section(run, units) + furrow_section(run, units) + pulse_section(run, units) +
         figures_section(run, units) + spacing_section(run, units) +
         attachment_section(run, units) + health_section(run.summary);
}

}  // namespace

std::string maps_section(const SweepResult& result, Units units) {
  std::string inner = paragraph_html(
      "Each cell: share of sensed seeds within 10 mm, the verdict on the requirements, and how "
      "much "
      "further scatter below the sensor the goal of 95 % stands. Blue: goal reached. Orange: not. "
      "Hatched: cannot be served, with the smallest outlet offset that would serve.");
  const std::vector<CellMap> maps = cell_maps(result);
  for (std::size_t i = 0; i < maps.size(); ++i) {
    if (!maps[i].heading.empty()) inner += "<h3>" + escaped(maps[i].heading) + "</h3>\n";
    inner += figure_html(cell_map_svg(result, maps[i], i, units),
                         std::to_string(result.replicas) +
                             (result.replicas == 1 ? " pass" : " passes") + " a cell.");
  }
  return section_html(maps_heading(result), inner + table_html(maps_table(result, units)));
}

std::string run_report_html(const RunResult& result, Units units, const ReportExtras& extras) {
  const Scenario& scenario = result.scenario;
  const std::string subject = name_of(scenario.title, scenario.name);
  std::string sections;
  for (const ReportExtra& extra : extras) sections += extra.section;
  return page_html(
      subject,
      verdict_html(subject, run_sentence(result, units, extras) + ".",
                   break_even_sentence(result.summary, units), is_violated(result.summary)) +
          requirements_section(result, units) + pass_sections(result, units) + sections +
          assumptions_section(scenario, units) + cautions_section() +
          provenance_section(scenario.name, scenario.rng_key, result.hashes));
}

std::string sweep_report_html(const SweepResult& result, Units units) {
  const std::string subject = name_of(result.title, result.name);
  const RunResult& run = result.shown;
  const bool nothing_shown = run.record.rows.empty();
  std::string body = verdict_html(subject, sweep_sentence(result, units) + ".",
                                  sweep_margin_sentence(result, units), is_violated(run.summary)) +
                     maps_section(result, units);
  if (nothing_shown)
    body +=
        section_html("One pass", paragraph_html("No cell could be served, so no pass was run."));
  else
    body += section_html("One pass of the sweep",
                         paragraph_html(shown_cell_words(result)) +
                             paragraph_html(run_sentence(run, units) + ".") +
                             paragraph_html(break_even_sentence(run.summary, units))) +
            requirements_section(run, units) + pass_sections(run, units);
  return page_html(subject,
                   body + assumptions_section(run.scenario, units) + cautions_section() +
                       provenance_section(result.name, run.scenario.rng_key, result.hashes));
}

}  // namespace sim
