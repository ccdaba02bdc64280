#include "sim/study/check/junit.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "sim/output/number_text.h"
#include "sim/output/svg.h"
#include "sim/study/check/suite_words.h"

namespace sim::check {
namespace {

/// The amount of detail that is left out to keep the file small.
enum class Detail : std::uint8_t { kAll, kRedOnly, kRedAlone, kShort };
constexpr std::size_t kShortWords = 400;

/// Text for attributes and elements; a reader would take a plain line break in an attribute for a
/// space.
std::string xml_text(std::string_view text) {
  std::string out;
  for (std::size_t at = 0; at <= text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size());
    out += (at == 0 ? "" : "&#10;") + output::escaped(text.substr(at, end - at));
    at = end + 1;
  }
  return out;
}

enum class Mark : std::uint8_t { kPassed, kFailed, kError, kSkipped };

struct TestCase {
  std::string name;
  Mark mark = Mark::kPassed;
  std::string type;
  std::string message;
  double spent_s = statistics::kNone_ratio;
  std::vector<std::pair<std::string, std::string>> properties;
};

std::string tail_of(const SuiteCase& one) {
  return one.id == one.family ? one.family : one.id.substr(one.family.size() + 1);
}

void add_common(const SuiteResult& suite, std::size_t index, TestCase& test) {
  const output::RunHashes& hashes = suite.results[index].hashes;
  for (const auto& [name, value] : {std::pair{"hash.scenario", hashes.scenario},
                                    {"hash.parameters", hashes.parameters},
                                    {"hash.controller", hashes.controller},
                                    {"hash.program", hashes.program},
                                    {"hash.result", hashes.result},
                                    {"replay", replay_line(suite, index)}})
    if (!value.empty()) test.properties.emplace_back(name, value);
}

TestCase test_of(const SuiteResult& suite, std::size_t index,
                 const measure::RequirementResult& one) {
  TestCase test{.name = tail_of(suite.suite.cases[index]) + ": " + one.name};
  if (!one.seen) {
    test.mark = Mark::kError;
    test.type = "no data";
    test.message = "nothing in the pass to judge by";
  } else if (!one.holds) {
    test.mark = Mark::kFailed;
    test.type = "violated";
    test.message =
        fmt::format("{} {}: is {} {}, margin {}", one.name, output::number_text(one.limit),
                    output::number_text(one.value), one.unit, output::number_text(one.margin));
    if (one.worst.row >= 0)
      test.message += fmt::format("; worst at row {}, seed {}, {:.6f} s", one.worst.row,
                                  one.worst.seed, one.worst.at_s);
  }
  for (const auto& [name, value] : {std::pair{"limit", output::number_text(one.limit)},
                                    {"value", output::number_text(one.value)},
                                    {"margin", output::number_text(one.margin)},
                                    {"unit", one.unit}})
    test.properties.emplace_back(name, value);
  if (one.total >= 0) {
    test.properties.emplace_back("good", std::to_string(one.good));
    test.properties.emplace_back("total", std::to_string(one.total));
    test.properties.emplace_back("lower95", output::number_text(one.lower95_ratio));
  }
  test.properties.emplace_back("place", one.place);
  const std::string explain = explain_line(suite, index, one.worst);
  if (!explain.empty()) test.properties.emplace_back("explain", explain);
  add_common(suite, index, test);
  return test;
}

/// The case as a whole: faults, missing runs, and the accepted results.
TestCase whole_test(const SuiteResult& suite, std::size_t index) {
  const Trouble trouble = trouble_of(suite, index);
  const SuiteCase& one = suite.suite.cases[index];
  TestCase test{.name = tail_of(one) + ": as a whole"};
  for (const TroubleLine& line : trouble_lines(suite, index, output::Units::kMetric))
    test.message += (test.message.empty() ? "" : "\n") + line.words;
  test.type = trouble_word(trouble);
  test.spent_s = suite.results[index].spent_s;
  switch (trouble) {
    case Trouble::kNone:
    case Trouble::kChanged:
      test.mark = suite.results[index].state == CaseState::kNotRun ? Mark::kSkipped : Mark::kPassed;
      break;
    case Trouble::kViolated:
    case Trouble::kWorse:
    case Trouble::kMissing: test.mark = Mark::kFailed; break;
    case Trouble::kNoData:
    case Trouble::kController:
    case Trouble::kInput:
    case Trouble::kBench:
    case Trouble::kBytes: test.mark = Mark::kError; break;
  }
  const std::string explain = explain_line(suite, index, witness_of_case(suite.results[index]));
  if (!explain.empty()) test.properties.emplace_back("explain", explain);
  test.properties.emplace_back("place", one.place);
  add_common(suite, index, test);
  return test;
}

std::string time_attribute(double spent_s) {
  return std::isfinite(spent_s) ? fmt::format(" time=\"{:.3f}\"", spent_s) : "";
}

std::string text_of(const TestCase& test, const std::string& family, Detail detail) {
  const bool red = test.mark == Mark::kFailed || test.mark == Mark::kError;
  std::string message = test.message;
  if (detail == Detail::kShort && message.size() > kShortWords) {
    message.resize(kShortWords);
    while (!message.empty() && (static_cast<unsigned char>(message.back()) & 0x80) != 0)
      message.pop_back();
    message += " ...";
  }
  std::string body;
  if (detail == Detail::kAll || (red && detail != Detail::kShort)) {
    body += "      <properties>\n";
    for (const auto& [name, value] : test.properties)
      body += fmt::format("        <property name=\"{}\" value=\"{}\"/>\n", xml_text(name),
                          xml_text(value));
    body += "      </properties>\n";
  }
  if (red)
    body += fmt::format("      <{0} type=\"{1}\" message=\"{2}\">{2}</{0}>\n",
                        test.mark == Mark::kFailed ? "failure" : "error", xml_text(test.type),
                        xml_text(message));
  if (test.mark == Mark::kSkipped)
    body += fmt::format("      <skipped message=\"{}\"/>\n", xml_text(message));
  const std::string open =
      fmt::format("    <testcase name=\"{}\" classname=\"{}\"{}", xml_text(test.name),
                  xml_text(family), time_attribute(test.spent_s));
  return body.empty() ? open + "/>\n" : open + ">\n" + body + "    </testcase>\n";
}

struct Counts {
  std::size_t tests = 0, failures = 0, errors = 0, skipped = 0;
  double spent_s = statistics::kNone_ratio;
  void add(Mark mark) {
    ++tests;
    failures += mark == Mark::kFailed;
    errors += mark == Mark::kError;
    skipped += mark == Mark::kSkipped;
  }
  void add_time(double more_s) {
    if (std::isfinite(more_s)) spent_s = std::isfinite(spent_s) ? spent_s + more_s : more_s;
  }
  std::string attributes() const {
    return fmt::format("tests=\"{}\" failures=\"{}\" errors=\"{}\" skipped=\"{}\"{}", tests,
                       failures, errors, skipped, time_attribute(spent_s));
  }
};

std::string family_text(const std::string& family, const std::vector<TestCase>& tests,
                        Detail detail, Counts& all) {
  Counts counts;
  std::string body;
  std::size_t held = 0;
  for (const TestCase& test : tests) {
    counts.add_time(test.spent_s);
    all.add_time(test.spent_s);
    if (test.mark == Mark::kPassed && detail >= Detail::kRedAlone) {
      ++held;
      continue;
    }
    counts.add(test.mark);
    all.add(test.mark);
    body += text_of(test, family, detail);
  }
  if (held > 0) {
    counts.add(Mark::kPassed);
    all.add(Mark::kPassed);
    body += text_of({.name = fmt::format("{} more that hold", held)}, family, Detail::kShort);
  }
  return fmt::format("  <testsuite name=\"{}\" {}>\n{}  </testsuite>\n", xml_text(family),
                     counts.attributes(), body);
}

std::string text_with(const SuiteResult& suite,
                      const std::vector<std::pair<std::string, std::vector<TestCase>>>& families,
                      Detail detail) {
  Counts all;
  std::string body;
  for (const auto& [family, tests] : families) body += family_text(family, tests, detail, all);
  return fmt::format(
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<testsuites name=\"{}\" {}>\n{}"
      "</testsuites>\n",
      xml_text(suite.suite.name), all.attributes(), body);
}

}  // namespace

std::string junit_xml(const SuiteResult& suite, std::size_t most_bytes) {
  std::vector<std::pair<std::string, std::vector<TestCase>>> families;
  for (std::size_t index = 0; index < suite.suite.cases.size(); ++index) {
    const std::string& family = suite.suite.cases[index].family;
    if (families.empty() || families.back().first != family) families.push_back({family, {}});
    std::vector<TestCase>& tests = families.back().second;
    if (suite.results[index].state == CaseState::kJudged)
      for (const measure::RequirementResult& one : suite.results[index].requirements)
        tests.push_back(test_of(suite, index, one));
    tests.push_back(whole_test(suite, index));
  }
  std::string text;
  for (const Detail detail : {Detail::kAll, Detail::kRedOnly, Detail::kRedAlone, Detail::kShort}) {
    text = text_with(suite, families, detail);
    if (text.size() <= most_bytes) break;
  }
  return text;
}

}  // namespace sim::check
