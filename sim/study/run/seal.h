// What the `result` hash is taken of: the summary without its hashes, and the table beside it.
//
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <string>

#include "sim/study/run/run.h"

namespace sim {

std::string unhashed_summary_json(const RunResult& result);
/// The hashes of a result made of one scenario, with its table, whose files hold this text.
RunHashes hashes_of(const Scenario& scenario, const TunedTable& tuned,
                    const std::string& result_text);
/// Scenario, controller and program alone: what is known before a pass.
RunHashes input_hashes(const Scenario& scenario);
/// What a result hangs on: scenario, requirements, controller and program.
std::string inputs_hash(const Scenario& scenario);
/// The hashes of what was made without a controller: its parameters and its result as text.
RunHashes hashes_without_controller(const std::string& parameters, const std::string& result_text);
/// Liquid path, solver and controller table as text: what the `parameters` hash is taken of.
std::string parameter_text(const Scenario& scenario, const TunedTable& tuned);

}  // namespace sim
