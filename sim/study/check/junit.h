// A judged suite as JUnit XML, the subset that CI servers share.
//
//   testsuites > testsuite (a family) > testcase (scenario: requirement)
//   failure     a requirement violated, worse than accepted, a mandatory case that did not run
//   error       nothing to judge by, and faults of controller, bench and input
//   skipped     optional and not run
//   properties  margin, limit, value, unit, hashes, and the commands that replay and explain it
//
//   time        of a scenario's run, on its test case "as a whole": seconds of the wall clock, the
//               one place where these stand; families and the whole hold their sums
//
// No host and no folder of results. But for the times, the same results are the same bytes. Over
// 5 MB, properties of what holds go
// first, then its test cases into one, then the tails of long messages.
//
// Source   the common subset as documented by the testmoapp/junitxml project (from memory)
// Checked  tests/sim/study/check/suite_report_test.cc
#pragma once

#include <cstddef>
#include <string>

#include "sim/study/check/suite_result.h"

namespace sim::check {

inline constexpr std::size_t kMostJunitBytes = 5'000'000;

std::string junit_xml(const SuiteResult& suite, std::size_t most_bytes = kMostJunitBytes);

}  // namespace sim::check
