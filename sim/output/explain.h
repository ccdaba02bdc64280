// `explain`: one seed from the sensor edge to its placement error, step by step with its numbers.
//
// Input    a finished run that watched the seed       Output   steps in order of time, numbered
//          [1] to [9] in order of the seed's way
// Checked  tests/sim/explain_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/run.h"

namespace sim {

std::vector<SeedStep> explain_seed(const RunResult& result);
std::string explain_text(const RunResult& result);
std::string explain_json(const RunResult& result);

}  // namespace sim
