// The input of the `result` hash: the summary without its hashes, and the table of seeds beside it.
//
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <string>

#include "sim/study/run/run.h"

namespace sim::run {

std::string unhashed_summary_json(const RunResult& result);
/// The hashes of a result of one scenario with its table; `result_text` is the text of its files.
output::RunHashes hashes_of(const scenario::Scenario& scenario, const tune::TunedTable& tuned,
                            const std::string& result_text);
/// Scenario, controller and program alone: the hashes that are known before a pass.
output::RunHashes input_hashes(const scenario::Scenario& scenario);
/// One hash of everything that a result depends on: scenario, requirements, controller and program.
std::string inputs_hash(const scenario::Scenario& scenario);
/// The hashes of a result without a controller, from its parameters and its result as text.
output::RunHashes hashes_without_controller(const std::string& parameters,
                                            const std::string& result_text);
/// Liquid path, solver and controller table as text: the input of the `parameters` hash.
std::string parameter_text(const scenario::Scenario& scenario, const tune::TunedTable& tuned);

}  // namespace sim::run
