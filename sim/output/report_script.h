// The script of every report (sim/output/report): hover, zoom and the choice of a seed. A
// report is whole without it, and allows this script alone, by the hash of its bytes.
//
// Errors   none
// Checked  tests/sim/output/report_script_test.cc
#pragma once

#include <string>
#include <string_view>

#include "sim/output/asset.h"

namespace sim::output {

/// The files of sim/output/report, without their comments. Defined in a source that cmake writes
/// from them (sim/output/embed.cmake).
std::span<const Asset> report_assets();
/// What stands between <script> and </script>.
std::string_view report_script();
/// The style of every report (sim/output/report/report.css).
std::string_view report_style();
/// 'sha256-...' with its quotes, as a Content-Security-Policy of level 3 (W3C) names a script.
std::string report_script_source();

}  // namespace sim::output
