// The sections of the report in the order in which it shows them; report.cc puts them together.
//
// Checked  tests/sim/study/run/report_test.cc
#pragma once

#include <string>

#include "sim/study/run/report.h"

namespace sim::run {

/// The verdict on each requirement, and below it the shares and spreads behind the verdicts.
std::string requirements_section(const RunResult& result, output::Units units);
std::string figures_section(const RunResult& result, output::Units units);
std::string error_section(const RunResult& result, output::Units units);
std::string furrow_section(const RunResult& result, output::Units units);
std::string pulse_section(const RunResult& result, output::Units units);
std::string attachment_section(const RunResult& result, output::Units units);
std::string spacing_section(const RunResult& result, output::Units units);
std::string health_section(const measure::Summary& summary);
/// The first bands after each lowering, stop and switching on; empty where there was none.
std::string first_bands_section(const RunResult& result, output::Units units);
/// The sections of one pass, from error to health: those that a run and the shown pass of a sweep
/// have in common.
std::string pass_sections(const RunResult& result, output::Units units);
std::string assumptions_section(const scenario::Scenario& scenario, output::Units units);
std::string provenance_section(const std::string& name, std::uint64_t rng_key,
                               const output::RunHashes& hashes);

}  // namespace sim::run
