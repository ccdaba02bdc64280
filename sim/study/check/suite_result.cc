#include "sim/study/check/suite_result.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/measure/tightness.h"
#include "sim/text/shell_word.h"

namespace sim::check {
namespace {

bool requirement_violated(const CaseResult& result) {
  return std::any_of(result.requirements.begin(), result.requirements.end(),
                     [](const measure::RequirementResult& one) { return one.seen && !one.holds; });
}

Trouble trouble_of_pass(const CaseResult& result) {
  if (result.seeds_placed == 0) return Trouble::kNoData;
  switch (result.verdict) {
    case measure::Verdict::kHold: return Trouble::kNone;
    case measure::Verdict::kFail:
    case measure::Verdict::kWrongSeed: return Trouble::kViolated;
    case measure::Verdict::kNoData:
    case measure::Verdict::kNone: break;
  }
  return Trouble::kNoData;
}

Trouble trouble_of_movement(Movement movement) {
  switch (movement) {
    case Movement::kBroken: return Trouble::kBytes;
    case Movement::kWorse: return Trouble::kWorse;
    case Movement::kNew:
    case Movement::kBetter:
    case Movement::kChanged: return Trouble::kChanged;
    case Movement::kSame: break;
  }
  return Trouble::kNone;
}

std::string options_of(const SuiteResult& suite, std::size_t index) {
  std::string words;
  for (const std::string& set : suite.suite.cases[index].sets)
    words += " --set " + text::shell_word(set);
  if (!suite.controller.empty()) words += " --controller " + text::shell_word(suite.controller);
  return words;
}

}  // namespace

Trouble trouble_of(const SuiteResult& suite, std::size_t index) {
  const CaseResult& result = suite.results[index];
  const Trouble moved = suite.movements.empty()
                            ? Trouble::kNone
                            : trouble_of_movement(suite.movements[index].movement);
  switch (result.state) {
    case CaseState::kNotRun:
      return suite.suite.cases[index].mandatory ? Trouble::kMissing : Trouble::kNone;
    case CaseState::kControllerFault: return Trouble::kController;
    case CaseState::kBenchFault: return Trouble::kBench;
    case CaseState::kBadInput: return Trouble::kInput;
    case CaseState::kJudged: break;
  }
  return std::max(trouble_of_pass(result), moved);
}

const char* trouble_word(Trouble trouble) {
  switch (trouble) {
    case Trouble::kNone: break;
    case Trouble::kChanged: return "changed";
    case Trouble::kMissing: return "missing";
    case Trouble::kNoData: return "no data";
    case Trouble::kWorse: return "worse";
    case Trouble::kViolated: return "violated";
    case Trouble::kController: return "controller fault";
    case Trouble::kInput: return "input";
    case Trouble::kBench: return "bench";
    case Trouble::kBytes: return "other bytes";
  }
  return "holds";
}

Tightest tightest_of(const SuiteResult& suite) {
  Tightest tightest;
  double least_ratio = std::numeric_limits<double>::infinity();
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    const CaseResult& result = suite.results[index];
    if (result.state != CaseState::kJudged) continue;
    for (const measure::RequirementResult& one : result.requirements) {
      if (measure::tightness_ratio(one) >= least_ratio) continue;
      least_ratio = measure::tightness_ratio(one);
      tightest = {static_cast<int>(index), one};
    }
  }
  return tightest;
}

measure::Witness witness_of_case(const CaseResult& result) {
  if (result.state != CaseState::kJudged) return result.fault_at;
  const bool violated = requirement_violated(result);
  for (const measure::RequirementResult& one : result.requirements)
    if (one.seen && one.holds != violated && one.worst.row >= 0 && one.worst.seed >= 0)
      return one.worst;
  return {};
}

std::string replay_line(const SuiteResult& suite, std::size_t index) {
  return "sillion run " + text::shell_word(suite.suite.cases[index].base.string()) +
         options_of(suite, index);
}

std::string explain_line(const SuiteResult& suite, std::size_t index, const measure::Witness& at) {
  if (at.seed < 0) return {};
  return fmt::format("sillion explain {} --row {} --seed {}{} --wave seed.vcd",
                     text::shell_word(suite.suite.cases[index].base.string()), std::max(0, at.row),
                     at.seed, options_of(suite, index));
}

}  // namespace sim::check
