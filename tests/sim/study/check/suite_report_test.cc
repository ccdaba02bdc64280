// A judged suite for machines and people. The XML is read back by junitparser (Debian's
// python3-junitparser), which knows nothing of this project; what it must count is made by hand.
#include "sim/study/check/suite_report.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <nlohmann/json.hpp>

#include "sim/study/check/junit.h"
#include "tests/support/run_program.h"

namespace sim::check {
namespace {

constexpr const char* kReader = R"(
import sys
from junitparser import JUnitXml, Failure, Error, Skipped
xml = JUnitXml.fromfile(sys.argv[1])
print('all', xml.tests, xml.failures, xml.errors, xml.skipped)
for suite in xml:
    print('suite', suite.name, suite.tests, suite.failures, suite.errors, suite.skipped)
    for case in suite:
        marks = [type(one).__name__ + ':' + str(one.type) for one in case.result]
        print('case', case.classname, '|', case.name, '|', ','.join(marks))
)";

// The system's own Python sees Debian's packages, whatever stands first in the path.
constexpr const char* kPython = "/usr/bin/python3";

bool reader_there() {
  return support::run_program({kPython, "-c", "import junitparser"}).code == 0;
}

std::string read_back(const std::string& xml) {
  const support::ScratchFolder scratch;
  const auto file = scratch.path() / "junit.xml";
  std::ofstream(file, std::ios::binary) << xml;
  const support::Ended ended = support::run_program({kPython, "-c", kReader, file.string()});
  EXPECT_EQ(ended.code, 0) << ended.err;
  return ended.out;
}

/// One case that holds, one violated, one that hung, one without data, one that did not run.
SuiteResult example() {
  SuiteResult suite;
  suite.suite.name = "example";
  suite.input = "suite.toml";
  const auto add = [&](const std::string& id, const std::string& family) -> CaseResult& {
    suite.suite.cases.push_back({.id = id, .family = family, .base = "base row.toml"});
    suite.suite.cases.back().sets = {"travel.speed=\"16 km/h\""};
    suite.suite.cases.back().place = "suite.toml:1";
    suite.results.push_back({.id = id, .state = CaseState::kJudged});
    suite.results.back().seeds_placed = 10;
    suite.results.back().verdict = measure::Verdict::kHold;
    return suite.results.back();
  };
  const measure::RequirementResult holds{.name = "placement_error_mean at most",
                                         .unit = "m",
                                         .limit = 1e-3,
                                         .value = 4e-4,
                                         .holds = true,
                                         .margin = 6e-4,
                                         .worst = {.row = 1, .seed = 5, .at_s = 2.5},
                                         .place = "suite.toml:4"};
  measure::RequirementResult violated = holds;
  violated.value = 1.5e-3;
  violated.margin = -5e-4;
  violated.holds = false;
  measure::RequirementResult share{.name = "within <10 mm> & \"near\" at least",
                                   .unit = "ratio",
                                   .limit = 0.95,
                                   .value = 0.97,
                                   .holds = true,
                                   .margin = 0.02,
                                   .good = 97,
                                   .total = 100,
                                   .lower95_ratio = 0.93};
  measure::RequirementResult unseen = holds;
  unseen.seen = false;
  add("still/16 km/h", "still").requirements = {holds, share};
  CaseResult& bad = add("still/8 km/h", "still");
  bad.requirements = {violated};
  bad.verdict = measure::Verdict::kFail;
  CaseResult& hung = add("ramp", "ramp");
  hung.state = CaseState::kControllerFault;
  hung.fault = "row 3 at 1.5 s, call 9 (edge): does not return";
  hung.fault_at = {.row = 3, .seed = 7, .at_s = 1.5};
  CaseResult& dark = add("dark", "dark");
  dark.requirements = {unseen};
  dark.verdict = measure::Verdict::kNoData;
  add("late/a", "late").state = CaseState::kNotRun;
  suite.suite.cases.back().mandatory = false;
  return suite;
}

TEST(Junit, AnIndependentReaderFindsWhatWasMeant) {
  if (!reader_there()) GTEST_SKIP() << "python3-junitparser is not installed";
  EXPECT_EQ(read_back(junit_xml(example())),
            "all 9 2 3 1\n"
            "suite still 5 2 0 0\n"
            "case still | 16 km/h: placement_error_mean at most | \n"
            "case still | 16 km/h: within <10 mm> & \"near\" at least | \n"
            "case still | 16 km/h: as a whole | \n"
            "case still | 8 km/h: placement_error_mean at most | Failure:violated\n"
            "case still | 8 km/h: as a whole | Failure:violated\n"
            "suite ramp 1 0 1 0\n"
            "case ramp | ramp: as a whole | Error:controller fault\n"
            "suite dark 2 0 2 0\n"
            "case dark | dark: placement_error_mean at most | Error:no data\n"
            "case dark | dark: as a whole | Error:no data\n"
            "suite late 1 0 0 1\n"
            "case late | a: as a whole | Skipped:None\n");
}

TEST(Junit, PropertiesCarryMarginHashesAndTheCommandsThatShowIt) {
  const std::string xml = junit_xml(example());
  EXPECT_NE(xml.find("<property name=\"margin\" value=\"-5e-04\"/>"), std::string::npos);
  // quotes of the shell and of TOML as entities
  EXPECT_NE(xml.find("name=\"replay\" value=\"sillion run &#39;base row.toml&#39; --set "
                     "&#39;travel.speed=&quot;16 km/h&quot;&#39;\"/>"),
            std::string::npos);
  EXPECT_NE(
      xml.find("name=\"explain\" value=\"sillion explain &#39;base row.toml&#39; --row 3 "
               "--seed 7 --set &#39;travel.speed=&quot;16 km/h&quot;&#39; --wave seed.vcd\"/>"),
      std::string::npos);
  EXPECT_EQ(xml.find(" time="), std::string::npos);
}

// A case has its time; a family and the whole have sums. 1.25 + 0.5 s; the other cases have none.
TEST(Junit, TimesAreThoseOfCasesAndAddUp) {
  SuiteResult suite = example();
  suite.results[0].spent_s = 1.25;
  suite.results[1].spent_s = 0.5;
  const std::string xml = junit_xml(suite);
  EXPECT_NE(xml.find("name=\"16 km/h: as a whole\" classname=\"still\" time=\"1.250\""),
            std::string::npos)
      << xml;
  EXPECT_NE(xml.find("<testsuite name=\"still\" tests=\"5\" failures=\"2\" errors=\"0\" "
                     "skipped=\"0\" time=\"1.750\">"),
            std::string::npos)
      << xml;
  EXPECT_NE(xml.find("skipped=\"1\" time=\"1.750\">\n  <testsuite"), std::string::npos) << xml;
  EXPECT_EQ(xml.find("classname=\"late\" time="), std::string::npos);
}

TEST(Junit, StaysBelowItsSizeAndKeepsWhatIsRed) {
  SuiteResult suite = example();
  const std::size_t whole = junit_xml(suite).size();
  for (const std::size_t most : {whole - 1, whole / 2, whole / 4}) {
    const std::string xml = junit_xml(suite, most);
    if (most >= whole / 2) {
      EXPECT_LE(xml.size(), most);
    }
    EXPECT_NE(xml.find("does not return"), std::string::npos) << most;
    EXPECT_NE(xml.find("type=\"violated\""), std::string::npos) << most;
  }
}

TEST(SuiteReport, TheSentenceNamesTheGravestAndCountsTheRest) {
  SuiteResult suite = example();
  EXPECT_EQ(suite_sentence(suite, output::Units::kMetric),
            "3 of 5 scenarios are red; ramp: row 3 at 1.5 s, call 9 (edge): does not return; 1 of "
            "5 did not run");
  suite.suite.cases.resize(1);
  suite.results.resize(1);
  EXPECT_EQ(suite_sentence(suite, output::Units::kMetric),
            "1 scenario holds 2 requirements; tightest margin +2.0 % (within <10 mm> & \"near\" at "
            "least) in still/16 km/h");
}

TEST(SuiteReport, ErrorLinesAreAsCompilersWriteThem) {
  EXPECT_EQ(error_lines(example(), output::Units::kMetric),
            "suite.toml:4: error: still/8 km/h: placement_error_mean at most 1 mm: is 1.5 mm, "
            "violated by 0.5 mm (row 1, seed 5, 2.500 s)\n"
            "suite.toml:1: error: ramp: row 3 at 1.5 s, call 9 (edge): does not return\n"
            "suite.toml:4: error: dark: placement_error_mean at most: no data, nothing in the pass "
            "to judge by\n");
}

TEST(SuiteReport, OneLineOfJsonACaseAndOneDocument) {
  const std::string lines = cases_jsonl(example());
  std::size_t count = 0;
  for (std::size_t at = 0; at < lines.size(); ++count) {
    const std::size_t end = lines.find('\n', at);
    const auto one = nlohmann::json::parse(lines.substr(at, end - at));
    EXPECT_EQ(one["case"], example().results[count].id);
    at = end + 1;
  }
  EXPECT_EQ(count, 5u);
  const auto all = nlohmann::json::parse(suite_json(example(), 4));
  EXPECT_EQ(all["exit_code"], 4);
  EXPECT_EQ(all["cases"].size(), 5u);
  EXPECT_EQ(all["cases"][1]["requirements"][0]["margin"], -5e-4);
}

TEST(SuiteReport, MarkdownListsWhatIsRedTightAndLeftOut) {
  const std::string text = suite_markdown(example(), output::Units::kMetric);
  for (const char* part : {"## Red", "- **still/8 km/h** (violated)", "## Tightest margins",
                           "| still/8 km/h | placement_error_mean at most | 1.5 mm | −0.5 mm |",
                           "## Did not run: the budget was spent", "- late/a"})
    EXPECT_NE(text.find(part), std::string::npos) << part << "\n" << text;
}

}  // namespace
}  // namespace sim::check
