#include "sim/study/check/suite_words.h"

#include <fmt/format.h>

#include "sim/output/shown_units.h"

namespace sim::check {
namespace {

/// With two decimals more than a table has, because a violation may be small.
std::string said(double value_si, const std::string& unit, output::Units units) {
  return output::shown_plain(value_si, output::measure_of(unit), units, 2);
}

std::string at_words(const measure::Witness& at) {
  if (at.row < 0) return "";
  if (at.seed < 0) return fmt::format(" (row {})", at.row);
  return fmt::format(" (row {}, seed {}, {:.3f} s)", at.row, at.seed, at.at_s);
}

using Lines = std::vector<TroubleLine>;

void add_requirements(const CaseResult& result, const std::string& place, output::Units units,
                      Lines& lines) {
  if (result.verdict == measure::Verdict::kWrongSeed)
    lines.push_back(
        {place, "wrong seed: the bands follow other seeds, so no error means anything"});
  for (const measure::RequirementResult& one : result.requirements) {
    if (!one.seen)
      lines.push_back({one.place, one.name + ": no data, nothing in the pass to judge by"});
    else if (!one.holds)
      lines.push_back(
          {one.place,
           fmt::format("{} {}: is {}, violated by {}{}", one.name, said(one.limit, one.unit, units),
                       said(one.value, one.unit, units), said(-one.margin, one.unit, units),
                       at_words(one.worst))});
  }
  if (result.seeds_placed == 0) lines.push_back({place, "no seed was placed: nothing to judge by"});
  if (result.requirements.empty()) lines.push_back({place, "no requirement: nothing to judge by"});
}

void add_movements(const Movements& moved, const std::string& place, output::Units units,
                   Lines& lines) {
  const auto say = [&](std::string words) { lines.push_back({place, std::move(words)}); };
  if (moved.movement == Movement::kBroken)
    say("same inputs, other bytes than accepted: trust nothing");
  for (const Moved& one : moved.worse)
    say(fmt::format("{}: {} was accepted, now {}: worse by {}, allowed {}", one.metric,
                    said(one.before_si, one.unit, units), said(one.now_si, one.unit, units),
                    said(one.worse_si, one.unit, units), said(one.margin_si, one.unit, units)));
  if (!lines.empty()) return;  // a red case does not also wait for acceptance
  if (moved.movement == Movement::kNew) say("new: waits for acceptance");
  if (moved.movement == Movement::kChanged)
    say("behaviour changed inside the limits: waits for acceptance");
  if (moved.movement == Movement::kBetter)
    for (const Moved& one : moved.better)
      say(fmt::format("{}: {} was accepted, now {}: better, waits for acceptance", one.metric,
                      said(one.before_si, one.unit, units), said(one.now_si, one.unit, units)));
}

}  // namespace

std::vector<TroubleLine> trouble_lines(const SuiteResult& suite, std::size_t index,
                                       output::Units units) {
  const CaseResult& result = suite.results[index];
  const SuiteCase& one = suite.suite.cases[index];
  if (result.state == CaseState::kNotRun)
    return {{one.place,
             one.mandatory ? "mandatory, and not run: out of budget" : "not run: out of budget"}};
  Lines lines;
  if (result.state != CaseState::kJudged) {
    lines.push_back({one.place, result.fault});
  } else {
    add_requirements(result, one.place, units, lines);
    if (!suite.movements.empty()) add_movements(suite.movements[index], one.place, units, lines);
  }
  if (!result.cause.empty()) lines.push_back({one.place, result.cause});
  return lines;
}

}  // namespace sim::check
