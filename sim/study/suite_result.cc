#include "sim/study/suite_result.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>

#include "sim/scenario/shell_word.h"

namespace sim {
namespace {

bool requirement_violated(const CaseResult& result) {
  return std::any_of(result.requirements.begin(), result.requirements.end(),
                     [](const RequirementResult& one) { return one.seen && !one.holds; });
}

Trouble trouble_of_pass(const CaseResult& result) {
  if (result.seeds_placed == 0) return Trouble::kNoData;
  switch (result.verdict) {
    case Verdict::kHold: return Trouble::kNone;
    case Verdict::kFail:
    case Verdict::kWrongSeed: return Trouble::kViolated;
    case Verdict::kNoData:
    case Verdict::kNone: break;
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
  for (const std::string& set : suite.suite.cases[index].sets) words += " --set " + shell_word(set);
  if (!suite.controller.empty()) words += " --controller " + shell_word(suite.controller);
  return words;
}

std::string at_words(const Witness& at) {
  if (at.row < 0) return "";
  if (at.seed < 0) return fmt::format(" (row {})", at.row);
  return fmt::format(" (row {}, seed {}, {:.3f} s)", at.row, at.seed, at.at_s);
}

using Lines = std::vector<TroubleLine>;

void add_requirements(const CaseResult& result, const std::string& place, Lines& lines) {
  if (result.verdict == Verdict::kWrongSeed)
    lines.push_back(
        {place, "wrong seed: the bands follow other seeds, so no error means anything"});
  for (const RequirementResult& one : result.requirements) {
    if (!one.seen)
      lines.push_back({one.place, one.name + ": no data, nothing in the pass to judge by"});
    else if (!one.holds)
      lines.push_back({one.place, fmt::format("{} {:.5g}: is {:.5g} {}, violated by {:.4g}{}",
                                              one.name, one.limit, one.value, one.unit, -one.margin,
                                              at_words(one.worst))});
  }
  if (result.seeds_placed == 0) lines.push_back({place, "no seed was placed: nothing to judge by"});
  if (result.requirements.empty()) lines.push_back({place, "no requirement: nothing to judge by"});
}

void add_movements(const Movements& moved, const std::string& place, Lines& lines) {
  const auto say = [&](std::string words) { lines.push_back({place, std::move(words)}); };
  if (moved.movement == Movement::kBroken)
    say("same inputs, other bytes than accepted: trust nothing");
  for (const Moved& one : moved.worse)
    say(fmt::format("{}: {:.5g} was accepted, now {:.5g} {}: worse by {:.4g}, allowed {:.4g}",
                    one.metric, one.before_si, one.now_si, one.unit, one.worse_si, one.margin_si));
  if (!lines.empty()) return;  // what is red does not wait for acceptance besides
  if (moved.movement == Movement::kNew) say("new: waits for acceptance");
  if (moved.movement == Movement::kChanged)
    say("behaviour changed inside the limits: waits for acceptance");
  if (moved.movement == Movement::kBetter)
    for (const Moved& one : moved.better)
      say(fmt::format("{}: {:.5g} was accepted, now {:.5g} {}: better, waits for acceptance",
                      one.metric, one.before_si, one.now_si, one.unit));
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

std::vector<TroubleLine> trouble_lines(const SuiteResult& suite, std::size_t index) {
  const CaseResult& result = suite.results[index];
  const SuiteCase& one = suite.suite.cases[index];
  if (result.state == CaseState::kNotRun)
    return {{one.place,
             one.mandatory ? "mandatory, and not run: out of budget" : "not run: out of budget"}};
  if (result.state != CaseState::kJudged) return {{one.place, result.fault}};
  Lines lines;
  add_requirements(result, one.place, lines);
  if (!suite.movements.empty()) add_movements(suite.movements[index], one.place, lines);
  return lines;
}

Tightest tightest_of(const SuiteResult& suite) {
  Tightest tightest;
  double least_ratio = std::numeric_limits<double>::infinity();
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    const CaseResult& result = suite.results[index];
    if (result.state != CaseState::kJudged) continue;
    for (const RequirementResult& one : result.requirements) {
      if (tightness_ratio(one) >= least_ratio) continue;
      least_ratio = tightness_ratio(one);
      tightest = {static_cast<int>(index), one};
    }
  }
  return tightest;
}

Witness witness_of_case(const CaseResult& result) {
  if (result.state != CaseState::kJudged) return result.fault_at;
  const bool violated = requirement_violated(result);
  for (const RequirementResult& one : result.requirements)
    if (one.seen && one.holds != violated && one.worst.row >= 0 && one.worst.seed >= 0)
      return one.worst;
  return {};
}

std::string replay_line(const SuiteResult& suite, std::size_t index) {
  return "sillion run " + shell_word(suite.suite.cases[index].base.string()) +
         options_of(suite, index);
}

std::string explain_line(const SuiteResult& suite, std::size_t index, const Witness& at) {
  if (at.seed < 0) return {};
  return fmt::format("sillion explain {} --row {} --seed {}{} --wave seed.vcd",
                     shell_word(suite.suite.cases[index].base.string()), std::max(0, at.row),
                     at.seed, options_of(suite, index));
}

}  // namespace sim
