// What the `result` hash is taken of: the summary without its hashes, and the table beside it.
//
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <string>

#include "sim/study/run/run.h"

namespace sim::run {

std::string unhashed_summary_json(const RunResult& result);
/// The hashes of a result made of one scenario, with its table, whose files hold this text.
output::RunHashes hashes_of(const scenario::Scenario& scenario, const tune::TunedTable& tuned,
                            const std::string& result_text);
/// Scenario, controller and program alone: what is known before a pass.
output::RunHashes input_hashes(const scenario::Scenario& scenario);
/// What a result hangs on: scenario, requirements, controller and program.
std::string inputs_hash(const scenario::Scenario& scenario);
/// The hashes of what was made without a controller: its parameters and its result as text.
output::RunHashes hashes_without_controller(const std::string& parameters,
                                            const std::string& result_text);
/// Liquid path, solver and controller table as text: what the `parameters` hash is taken of.
std::string parameter_text(const scenario::Scenario& scenario, const tune::TunedTable& tuned);

}  // namespace sim::run
