// A judged suite as JUnit XML, the subset that CI servers share.
//
//   testsuites > testsuite (a family) > testcase (scenario: requirement)
//   failure     a requirement is violated, a metric is worse than accepted, or a mandatory case did
//               not run
//   error       nothing to judge by, faults of controller, bench and input, or other bytes for the
//               same inputs
//   skipped     an optional case that did not run
//   properties  margin, limit, value, unit, hashes, and the commands that replay and explain it
//
//   time        of a scenario's run, on its test case "as a whole": seconds of the wall clock,
//               which are written nowhere else; families and the whole have the sums
//
// The file names no host and no folder of results. Apart from the times, the same results give the
// same bytes. Over 5 MB, the properties of cases that hold are left out first, then their test
// cases are merged into one, then all properties and the ends of long messages are left out.
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
