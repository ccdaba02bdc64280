#include "sim/study/check/suite_report.h"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>

#include "sim/measure/tightness.h"
#include "sim/output/json_text.h"
#include "sim/output/shown_units.h"
#include "sim/study/check/judged_metrics.h"
#include "sim/study/check/suite_words.h"
#include "sim/study/run/summary_fields.h"

namespace sim::check {
namespace {

using Json = nlohmann::ordered_json;
constexpr std::size_t kTightestShown = 10;

bool is_red(Trouble trouble) { return trouble != Trouble::kNone && trouble != Trouble::kChanged; }

std::size_t count_of(const SuiteResult& suite, bool (*wanted)(Trouble)) {
  std::size_t count = 0;
  for (std::size_t index = 0; index < suite.results.size(); ++index)
    count += wanted(trouble_of(suite, index));
  return count;
}

std::size_t ran_of(const SuiteResult& suite) {
  return static_cast<std::size_t>(
      std::count_if(suite.results.begin(), suite.results.end(),
                    [](const CaseResult& one) { return one.state != CaseState::kNotRun; }));
}

std::string margin_words(const measure::RequirementResult& one, output::Units units) {
  return output::shown_signed(one.margin, output::measure_of(one.unit), units);
}

/// The gravest case; of several the first in the suite's order.
std::size_t gravest_of(const SuiteResult& suite) {
  std::size_t gravest = 0;
  for (std::size_t index = 1; index < suite.results.size(); ++index)
    if (trouble_of(suite, index) > trouble_of(suite, gravest)) gravest = index;
  return gravest;
}

std::string tightest_words(const SuiteResult& suite, output::Units units) {
  const Tightest tightest = tightest_of(suite);
  if (tightest.index < 0) return "";
  const measure::RequirementResult& one = tightest.requirement;
  std::string words =
      fmt::format("; tightest margin {} ({}) in {}", margin_words(one, units), one.name,
                  suite.results[static_cast<std::size_t>(tightest.index)].id);
  if (one.worst.row >= 0 && one.worst.seed >= 0)
    words += fmt::format(", row {}, seed {}", one.worst.row, one.worst.seed);
  return words;
}

void add_red(const SuiteResult& suite, output::Units units, std::string& text) {
  text += "\n## Red\n\n";
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    const Trouble trouble = trouble_of(suite, index);
    if (!is_red(trouble)) continue;
    text += fmt::format("- **{}** ({})\n", suite.results[index].id, trouble_word(trouble));
    for (const TroubleLine& line : trouble_lines(suite, index, units))
      text += "  - " + line.words + "\n";
    const std::string explain = explain_line(suite, index, witness_of_case(suite.results[index]));
    text += "\n  ```\n  " + replay_line(suite, index) + "\n";
    if (!explain.empty()) text += "  " + explain + "\n";
    text += "  ```\n";
  }
}

void add_waiting(const SuiteResult& suite, output::Units units, std::string& text) {
  std::string list;
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    if (trouble_of(suite, index) != Trouble::kChanged) continue;
    list += fmt::format("- {}\n", suite.results[index].id);
    for (const TroubleLine& line : trouble_lines(suite, index, units))
      list += "  - " + line.words + "\n";
  }
  for (const std::string& id : suite.gone) list += fmt::format("- {}: accepted, gone\n", id);
  if (list.empty()) return;
  text += "\n## Waits for acceptance\n\n" + list +
          fmt::format("\n```\nsillion accept {} --only '*' --reason \"why this is right\"\n```\n",
                      suite.input);
}

void add_tightest(const SuiteResult& suite, output::Units units, std::string& text) {
  struct Line {
    double ratio;
    std::string words;
  };
  std::vector<Line> lines;
  for (const CaseResult& result : suite.results) {
    if (result.state != CaseState::kJudged) continue;
    for (const measure::RequirementResult& one : result.requirements) {
      if (!one.seen) continue;
      lines.push_back({measure::tightness_ratio(one),
                       fmt::format("| {} | {} | {} | {} |\n", result.id, one.name,
                                   output::shown(one.value, output::measure_of(one.unit), units),
                                   margin_words(one, units))});
    }
  }
  std::stable_sort(lines.begin(), lines.end(),
                   [](const Line& a, const Line& b) { return a.ratio < b.ratio; });
  if (lines.empty()) return;
  text +=
      "\n## Tightest margins\n\n| scenario | requirement | value | margin |\n|---|---|--:|--:|\n";
  for (std::size_t k = 0; k < std::min(kTightestShown, lines.size()); ++k) text += lines[k].words;
}

void add_missing(const SuiteResult& suite, std::string& text) {
  std::string list;
  for (std::size_t index = 0; index < suite.results.size(); ++index)
    if (suite.results[index].state == CaseState::kNotRun)
      list += fmt::format("- {}{}\n", suite.results[index].id,
                          suite.suite.cases[index].mandatory ? " (mandatory)" : "");
  if (!list.empty()) text += "\n## Did not run: the budget was spent\n\n" + list;
}

Json case_fields(const SuiteResult& suite, std::size_t index) {
  const CaseResult& result = suite.results[index];
  Json requirements = Json::array();
  for (const measure::RequirementResult& one : result.requirements)
    requirements.push_back({{"name", one.name},
                            {"limit", output::number_or_null(one.limit)},
                            {"value", output::number_or_null(one.value)},
                            {"margin", output::number_or_null(one.margin)},
                            {"unit", one.unit},
                            {"holds", one.holds},
                            {"seen", one.seen},
                            {"row", one.worst.row},
                            {"seed", one.worst.seed},
                            {"at_s", output::number_or_null(one.worst.at_s)}});
  Json words = Json::array();
  for (const TroubleLine& line : trouble_lines(suite, index, output::Units::kMetric))
    words.push_back(line.words);
  Json figures = Json::object();
  for (std::size_t k = 0; k < result.figures_si.size(); ++k)
    figures[std::string(judged_metrics()[k].name)] = output::number_or_null(result.figures_si[k]);
  return {{"case", result.id},
          {"mandatory", suite.suite.cases[index].mandatory},
          {"trouble", trouble_word(trouble_of(suite, index))},
          {"words", words},
          {"requirements", requirements},
          {"figures", figures},
          {"seeds_placed", result.seeds_placed},
          {"hashes", run::hash_fields(result.hashes)},
          {"replay", replay_line(suite, index)},
          {"explain", explain_line(suite, index, witness_of_case(result))}};
}

}  // namespace

std::string suite_sentence(const SuiteResult& suite, output::Units units) {
  const std::size_t cases = suite.results.size();
  const std::size_t red = count_of(suite, is_red);
  const std::size_t waiting =
      count_of(suite, [](Trouble one) { return one == Trouble::kChanged; }) + suite.gone.size();
  const std::size_t ran = ran_of(suite);
  std::size_t requirements = 0;
  for (const CaseResult& one : suite.results) requirements += one.requirements.size();
  std::string text;
  if (red > 0) {
    const std::size_t gravest = gravest_of(suite);
    const std::vector<TroubleLine> lines = trouble_lines(suite, gravest, units);
    text = fmt::format("{} of {} scenarios {} red; {}: {}", red, cases, red == 1 ? "is" : "are",
                       suite.results[gravest].id, lines.empty() ? "" : lines.front().words);
  } else {
    text = fmt::format("{} scenario{} hold{} {} requirement{}{}", ran, ran == 1 ? "" : "s",
                       ran == 1 ? "s" : "", requirements, requirements == 1 ? "" : "s",
                       tightest_words(suite, units));
  }
  if (ran < cases) text += fmt::format("; {} of {} did not run", cases - ran, cases);
  if (waiting > 0)
    text += fmt::format("; {} wait{} for acceptance", waiting, waiting == 1 ? "s" : "");
  if (suite.left_out > 0)
    text += fmt::format("; no verdict of the suite: {} of its scenarios {} not asked for",
                        suite.left_out, suite.left_out == 1 ? "was" : "were");
  return text;
}

std::string suite_markdown(const SuiteResult& suite, output::Units units) {
  std::string text =
      fmt::format("# {}\n\n{}\n", suite.suite.title.empty() ? suite.suite.name : suite.suite.title,
                  suite_sentence(suite, units));
  if (!suite.keys_from.empty())
    text += fmt::format("\nRandom keys drawn from {}; repeat with `sillion check {} --keys {}`\n",
                        suite.keys_from, suite.input, suite.keys_from);
  if (count_of(suite, is_red) > 0) add_red(suite, units, text);
  add_waiting(suite, units, text);
  add_tightest(suite, units, text);
  add_missing(suite, text);
  return text;
}

std::string cases_jsonl(const SuiteResult& suite) {
  std::string text;
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    // one line per case: json_text() writes exact numbers, but over several lines
    std::string line = output::json_text(case_fields(suite, index));
    std::string flat;
    bool indent = false;
    for (const char c : line) {
      if (c == '\n') {
        indent = true;
        continue;
      }
      if (indent && c == ' ') continue;
      indent = false;
      flat += c;
    }
    text += flat + "\n";
  }
  return text;
}

std::string error_lines(const SuiteResult& suite, output::Units units) {
  std::string text;
  for (std::size_t index = 0; index < suite.results.size(); ++index) {
    if (!is_red(trouble_of(suite, index))) continue;
    for (const TroubleLine& line : trouble_lines(suite, index, units))
      text += fmt::format("{}: error: {}: {}\n", line.place, suite.results[index].id, line.words);
  }
  return text;
}

std::string suite_json(const SuiteResult& suite, int exit_code) {
  Json cases = Json::array();
  for (std::size_t index = 0; index < suite.results.size(); ++index)
    cases.push_back(case_fields(suite, index));
  return output::json_text({{"schema", "sillion.check.1"},
                            {"sentence", suite_sentence(suite, output::Units::kMetric)},
                            {"exit_code", exit_code},
                            {"cases", cases},
                            {"gone", suite.gone},
                            {"left_out", suite.left_out},
                            {"keys_from", suite.keys_from}});
}

}  // namespace sim::check
