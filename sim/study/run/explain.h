// `explain`: one seed from the sensor edge to its placement error, step by step with its numbers.
//
// Input    a run that watched the seed, at least until its band lay
// Output   the error and its main cause, then steps in order of time, numbered [1] to [9] in order
//          of the seed's way
// Checked  tests/sim/study/run/explain_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/run/run.h"

namespace sim::run {

/// "the band lies 1.74 mm behind its seed; main cause: ...": how it ended, figure first.
std::string explain_sentence(const RunResult& result);
std::vector<bench::SeedStep> explain_seed(const RunResult& result);
/// A pass that ended once the seed's band lay does not show the end of a stretch that goes on: such
/// a seed needs the whole pass.
bool goes_on(const RunResult& result);
std::string explain_text(const RunResult& result);
std::string explain_json(const RunResult& result);

}  // namespace sim::run
