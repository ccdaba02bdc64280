#include "sim/study/sweep/sweep_page.h"

#include <algorithm>
#include <array>

#include "sim/output/cautions.h"
#include "sim/output/hash_of_parts.h"
#include "sim/output/html.h"
#include "sim/output/write_folder.h"
#include "sim/scenario/loader.h"
#include "sim/study/run/seal.h"
#include "sim/study/run/sections.h"
#include "sim/study/run/sentences.h"
#include "sim/study/run/tables.h"
#include "sim/study/sweep/sweep_words.h"

namespace sim::sweep {
namespace {

bool any_violated(const SweepResult& result) {
  return std::any_of(result.cells.begin(), result.cells.end(),
                     [](const SweepCell& cell) { return is_violated(cell); });
}

/// Words for the shown cell; a sample has no values that a person chose.
std::string shown_pass_words(const SweepResult& result, output::Units units) {
  if (result.shown_cell >= result.cells.size()) return "the first cell";
  return cell_values_words(result, result.cells[result.shown_cell], units);
}

std::string shown_cell_words(const SweepResult& result, output::Units units) {
  const scenario::Scenario& scenario = result.shown.scenario;
  std::string words = "What follows shows one pass of this sweep alone, the first of its " +
                      std::to_string(result.replicas) + " at " + shown_pass_words(result, units) +
                      " (key " + std::to_string(scenario.rng_key) + ")";
  if (result.replicas == 1 && result.stop.plan.most == 0)
    words = "What follows shows one pass of this sweep alone, the pass at " +
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

}  // namespace

std::string sweep_report_html(const SweepResult& result, output::Units units) {
  const std::string subject = result.title.empty() ? result.name : result.title;
  const run::RunResult& run = result.shown;
  const bool nothing_shown = run.record.rows.empty();
  std::string body =
      output::verdict_html(subject, sweep_sentence(result, units) + ".",
                           sweep_margin_sentence(result, units), any_violated(result)) +
      maps_section(result, units) + precision_section(result, units);
  if (nothing_shown)
    body += output::section_html("One pass", output::paragraph_html(nothing_shown_words(result)));
  else
    body += output::section_html(
                "One pass of the sweep: " + shown_pass_words(result, units),
                output::paragraph_html(shown_cell_words(result, units)) +
                    output::paragraph_html(run::run_sentence(run, units) + ".") +
                    output::paragraph_html(run::break_even_sentence(run.summary, units))) +
            run::requirements_section(run, units) + run::pass_sections(run, units);
  return output::page_html(
      subject, body + run::assumptions_section(run.scenario, units) + output::cautions_section() +
                   run::provenance_section(result.name, run.scenario.rng_key, result.hashes));
}

void write_sweep(const SweepResult& result, const std::filesystem::path& out, output::Units units) {
  const std::array<output::ResultFile, 3> files = {
      {{"summary.json", sweep_summary_json(result)},
       {"cells.csv", cells_csv(result)},
       {"report.html", sweep_report_html(result, units)}}};
  output::write_folder(files, out);
}

void seal(SweepResult& result) {
  seal(result.shown);
  output::HashOfParts scenarios, parameters, texts;
  for (const SweepCell& cell : result.cells) {
    scenarios.add(scenario::canonical_text(cell.scenario));
    parameters.add(run::parameter_text(cell.scenario, cell.tuned));
  }
  const SweepCell none;
  const SweepCell& any = result.cells.empty() ? none : result.cells.front();
  result.hashes = run::input_hashes(any.scenario);
  result.hashes.scenario = scenarios.short_hex();
  result.hashes.parameters = parameters.short_hex();
  texts.add(unhashed_sweep_json(result));
  texts.add(cells_csv(result));
  result.hashes.result = texts.short_hex();
}

}  // namespace sim::sweep
