#include "sim/study/run/report.h"

#include <algorithm>

#include "sim/output/cautions.h"
#include "sim/output/html.h"
#include "sim/output/shown_units.h"
#include "sim/output/svg.h"
#include "sim/study/run/sections.h"
#include "sim/study/run/sentences.h"

namespace sim {
namespace {

std::string name_of(const std::string& title, const std::string& name) {
  return title.empty() ? name : title;
}

bool is_violated(const Summary& summary) {
  return summary.verdict == Verdict::kFail || summary.verdict == Verdict::kWrongSeed;
}

}  // namespace

std::string pass_sections(const RunResult& run, Units units) {
  return error_section(run, units) + furrow_section(run, units) + pulse_section(run, units) +
         figures_section(run, units) + spacing_section(run, units) +
         attachment_section(run, units) + health_section(run.summary);
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

}  // namespace sim
