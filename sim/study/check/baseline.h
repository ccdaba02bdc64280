// The accepted results of a suite as one sorted text for version control, readable in a diff.
//
//   first line      # sillion baseline 1
//   then            case TAB name TAB value TAB value at the last release mark TAB unit
//   names           judged metrics, SI; "tightest margin" over its limit (it decides what runs
//                   first); "inputs" and "result", hashes without a mark; "reason", words
//
//   worse     a metric worsened by more than its margin
//   drifted   since the release mark, summed over all acceptances, a metric worsened by more than
//             its margin
//   changed   the result's hash is another one and nothing is worse: waits for acceptance
//   broken    the inputs' hash is the same and the result's is not: trust nothing
//
// Errors   InputError with file and line: another schema, a malformed line, a case or name twice
// Checked  tests/sim/study/check/baseline_test.cc, tests/hostile/suite_input_test.cc
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <vector>

#include "sim/study/check/case_result.h"

namespace sim::check {

struct BaselineValue {
  double value_si = statistics::kNone_ratio;     // tidy: unit is the metric's
  double released_si = statistics::kNone_ratio;  // tidy: unit is the metric's
  std::string unit;
};

struct BaselineCase {
  std::map<std::string, BaselineValue> values;  // by name
  std::string inputs, result, reason;
};

/// Sorted by case id, and so is its text.
struct Baseline {
  std::map<std::string, BaselineCase> cases;
};

Baseline read_baseline(const std::filesystem::path& file);
std::string baseline_text(const Baseline& baseline);
/// The baseline of a result if it were accepted. `before` keeps its release marks; null: the
/// result's own values become the marks.
BaselineCase baseline_case_of(const CaseResult& result, const BaselineCase* before,
                              const std::string& reason);

enum class Movement : std::uint8_t { kNew, kSame, kBetter, kChanged, kWorse, kBroken };

/// One judged metric that moved beyond its margin, or drifted.
struct Moved {
  std::string metric, unit;
  double before_si = 0.0, now_si = 0.0;         // tidy: unit is the metric's
  double margin_si = 0.0;                       // tidy: unit is the metric's
  double worse_si = 0.0, drift_worse_si = 0.0;  // tidy: unit is the metric's
};

struct Movements {
  Movement movement = Movement::kNew;
  std::vector<Moved> worse, better, drifted;
};

/// `margins_si` come from margins_of_si(). `before` null: kNew.
Movements movements_of(const CaseResult& result, const BaselineCase* before,
                       const std::vector<double>& margins_si);
/// Matches a glob as shells do (POSIX fnmatch); / is an ordinary character.
bool glob_matches(const std::string& glob, const std::string& text);
/// tightness_ratio() of the accepted result; -infinity if the baseline has none.
double accepted_tightness_ratio(const BaselineCase* before);

}  // namespace sim::check
