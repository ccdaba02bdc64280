// The report: one self-contained HTML file, readable without scripts and on paper. Its plots are
// static SVG, and what colour shows is in words too.
//
// Checked  tests/sim/study/run/report_test.cc
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/output/shown_units.h"
#include "sim/output/write_folder.h"
#include "sim/study/run/run.h"

namespace sim::run {

/// What another study adds to a run's report: words after its first sentence, a section of HTML
/// before the assumptions, files beside it, a member of summary.json. Empty parts are left out.
struct ReportExtra {
  std::string words;  // "; largest part of the error: seed bounce"
  std::string section;
  std::vector<output::ResultFile> files;
  std::string summary_key;  // the key in summary.json
  std::string summary;      // JSON text of its value; not part of the result's hash
  std::string explain;      // command line that shows a seed, but for --row and --seed
};
using ReportExtras = std::vector<ReportExtra>;

std::string run_report_html(const RunResult& result, output::Units units,
                            const ReportExtras& extras = {});
/// The drawing at the top of README.md: the furrow to scale, with bands and seeds.
std::string furrow_svg(const RunResult& result, output::Units units);

}  // namespace sim::run
