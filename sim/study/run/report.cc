#include "sim/study/run/report.h"

#include <algorithm>

#include "sim/output/cautions.h"
#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/output/svg.h"
#include "sim/study/run/network_fields.h"
#include "sim/study/run/sections.h"
#include "sim/study/run/sentences.h"

namespace sim::run {
namespace {

std::string name_of(const std::string& title, const std::string& name) {
  return title.empty() ? name : title;
}

bool is_violated(const measure::Summary& summary) {
  return summary.verdict == measure::Verdict::kFail ||
         summary.verdict == measure::Verdict::kWrongSeed;
}

/// How to see one seed step by step; the script of the report adds the chosen seed.
std::string explain_section(const ReportExtras& extras) {
  for (const ReportExtra& extra : extras)
    if (!extra.explain.empty())
      return output::section_html(
          "One seed step by step",
          "<p>With the number of a row R and of a seed N, in the folder of the scenario: "
          "<code data-explain>" +
              output::escaped(extra.explain) + "</code> <code>--row R --seed N</code></p>\n");
  return "";
}

}  // namespace

std::string pass_sections(const RunResult& run, output::Units units) {
  return error_section(run, units) + furrow_section(run, units) + pulse_section(run, units) +
         figures_section(run, units) + spacing_section(run, units) +
         first_bands_section(run, units) + attachment_section(run, units) +
         health_section(run.summary) + network_section(run);
}

std::string run_report_html(const RunResult& result, output::Units units,
                            const ReportExtras& extras) {
  const scenario::Scenario& scenario = result.scenario;
  const std::string subject = name_of(scenario.title, scenario.name);
  std::string sections;
  for (const ReportExtra& extra : extras) sections += extra.section;
  return output::page_html(
      subject, output::verdict_html(subject, run_sentence(result, units, extras) + ".",
                                    break_even_sentence(result.summary, units),
                                    is_violated(result.summary)) +
                   requirements_section(result, units) + pass_sections(result, units) + sections +
                   explain_section(extras) + assumptions_section(scenario, units) +
                   output::cautions_section() +
                   provenance_section(scenario.name, scenario.rng_key, result.hashes));
}

}  // namespace sim::run
