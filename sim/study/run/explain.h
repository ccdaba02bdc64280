// `explain`: one seed from the sensor edge to its placement error, step by step with its numbers.
//
// Input    a run that watched the seed, at least until its band was laid
// Output   the error and its main cause, then steps in order of time, numbered [1] to [9] in order
//          of the seed's way
// Checked  tests/sim/study/run/explain_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/study/run/run.h"

namespace sim::run {

/// "The band lies 1.74 mm behind its seed; main cause: ...": the outcome, figure first.
std::string explain_sentence(const RunResult& result);
std::vector<bench::SeedStep> explain_seed(const RunResult& result);
/// Whether the seed's band is the last in the record, so that its stretch may go on after it. A
/// pass that ended when the band was laid does not show the end of that stretch: the whole pass is
/// needed.
bool goes_on(const RunResult& result);
std::string explain_text(const RunResult& result);
std::string explain_json(const RunResult& result);

}  // namespace sim::run
