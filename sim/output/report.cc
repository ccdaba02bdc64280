#include "sim/output/report.h"

#include <algorithm>

#include "sim/output/html.h"
#include "sim/output/sections.h"
#include "sim/output/sentences.h"
#include "sim/output/shown_units.h"
#include "sim/output/svg.h"
#include "sim/output/sweep_words.h"

namespace sim {
namespace {

std::string name_of(const std::string& title, const std::string& name) {
  return title.empty() ? name : title;
}

bool any_violated(const SweepResult& result) {
  return std::any_of(result.cells.begin(), result.cells.end(),
                     [](const SweepCell& cell) { return is_violated(cell); });
}

bool is_violated(const Summary& summary) {
  return summary.verdict == Verdict::kFail || summary.verdict == Verdict::kWrongSeed;
}

/// Which cell it is; a sample has no values that a person chose.
std::string shown_pass_words(const SweepResult& result, Units units) {
  if (result.shown_cell >= result.cells.size()) return "the first cell";
  return cell_values_words(result, result.cells[result.shown_cell], units);
}

std::string shown_cell_words(const SweepResult& result, Units units) {
  const Scenario& scenario = result.shown.scenario;
  std::string words = "What follows shows one pass of this sweep alone, the first of its " +
                      std::to_string(result.replicas) + " at " + shown_pass_words(result, units) +
                      " (key " + std::to_string(scenario.rng_key) + ")";
  if (result.replicas == 1 && result.stop.plan.most == 0)
    words = "What follows shows one pass of this sweep alone, that at " +
            shown_pass_words(result, units) + " (key " + std::to_string(scenario.rng_key) + ")";
  else
    words += "; the figures above are over all passes of a cell";
  return words + ".";
}

std::string nothing_shown_words(const SweepResult& result) {
  for (const SweepCell& cell : result.cells)
    if (cell.failed()) return "No cell was served to its end, so no pass can be shown.";
  return "No cell could be served, so no pass was run.";
}

// What a run and the shown pass of a sweep have in common, from the figures to the controllers.
std::string pass_sections(const RunResult& run, Units units) {
  return error_section(run, units) + furrow_section(run, units) + pulse_section(run, units) +
         figures_section(run, units) + spacing_section(run, units) +
         attachment_section(run, units) + health_section(run.summary);
}

}  // namespace

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
                                  sweep_margin_sentence(result, units), any_violated(result)) +
                     maps_section(result, units) + precision_section(result, units);
  if (nothing_shown)
    body += section_html("One pass", paragraph_html(nothing_shown_words(result)));
  else
    body += section_html("One pass of the sweep: " + shown_pass_words(result, units),
                         paragraph_html(shown_cell_words(result, units)) +
                             paragraph_html(run_sentence(run, units) + ".") +
                             paragraph_html(break_even_sentence(run.summary, units))) +
            requirements_section(run, units) + pass_sections(run, units);
  return page_html(subject,
                   body + assumptions_section(run.scenario, units) + cautions_section() +
                       provenance_section(result.name, run.scenario.rng_key, result.hashes));
}

}  // namespace sim
