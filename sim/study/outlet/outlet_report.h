// The words of `outlet`: its sentence, its page, and the section that other pages include.
//
// Checked  tests/sim/study/outlet/outlet_output_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/outlet/outlet_study.h"
#include "sim/study/run/report.h"

namespace sim::outlet {

/// The figure comes first: "1.60 mm (63 thousandths) outlet: tube holds its liquid, ...".
std::string outlet_sentence(const OutletResult& result, output::Units units);
/// Why the recommended part is recommended, one reason per sentence; empty where no part works.
std::vector<std::string> outlet_reasons(const OutletResult& result, output::Units units);
/// Everything except sentence, assumptions and cautions, for the page of `outlet` or another's.
std::string outlet_section(const OutletResult& result, output::Units units);
std::string outlet_report_html(const OutletResult& result, output::Units units);
/// What `run --outlet` adds to its report.
run::ReportExtra outlet_extra(const OutletResult& result, output::Units units);
/// The recommended part's interference over the rate of repetition.
std::string interference_svg(const OutletResult& result, output::Units units);
/// Bore in mm and thousandths of an inch.
std::string bore_words(double bore_m);
/// "8.0 mm x 0.30 m, polyamide 12"
std::string tube_words(const OutletPart& part, output::Units units);

}  // namespace sim::outlet
