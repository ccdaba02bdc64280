// modelDescription.xml says what the standard asks for, of the very variables that the unit has.
#include "sim/study/unit/unit_description.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>
#include <set>

#include "sim/study/unit/unit_variables.h"
#include "tests/sim/study/unit/unit_cases.h"
#include "tests/support/run_program.h"

namespace {

sim::unit::UnitContents contents(bool with_controller) {
  return {.scenario = sim::unit::carried(unit_cases::row_scenario()),
          .with_controller = with_controller};
}

std::string description(bool with_controller) {
  return sim::unit::model_description(contents(with_controller),
                                      {.token = "abc", .step_ns = 20'000});
}

std::vector<std::string> all(const std::string& text, const std::string& pattern) {
  std::vector<std::string> found;
  const std::regex regex(pattern);
  for (std::sregex_iterator it(text.begin(), text.end(), regex); it != std::sregex_iterator(); ++it)
    found.push_back((*it)[1]);
  return found;
}

// Where xmllint is (Debian: libxml2-utils), it judges whether the text is well-formed. The
// standard's schema is no part of this repository, so the tests below hold what it asks of units,
// variables and structure.
TEST(UnitDescription, IsWellFormed) {
  const support::ScratchFolder folder;
  for (const bool with_controller : {false, true}) {
    const auto file = folder.path() / "modelDescription.xml";
    std::ofstream(file) << description(with_controller);
    const support::Ended ended = support::run_program({"xmllint", "--noout", file.string()});
    if (ended.code == 127) GTEST_SKIP() << "no xmllint here (Debian: libxml2-utils)";
    EXPECT_EQ(ended.code, 0) << ended.err;
  }
}

// FMI 3.0, section 2.4: the order of the elements is that of the schema's sequence.
TEST(UnitDescription, ElementsStandInTheStandardsOrder) {
  const std::string text = description(true);
  std::size_t last = 0;
  for (const char* element :
       {"<fmiModelDescription ", "<CoSimulation ", "<UnitDefinitions>", "<LogCategories>",
        "<DefaultExperiment ", "<ModelVariables>", "<ModelStructure>"}) {
    const std::size_t at = text.find(element);
    ASSERT_NE(at, std::string::npos) << element;
    EXPECT_GT(at + 1, last) << element;
    last = at;
  }
  EXPECT_THAT(text, testing::HasSubstr("fmiVersion=\"3.0\""));
  EXPECT_THAT(text, testing::HasSubstr("instantiationToken=\"abc\""));
  EXPECT_THAT(text, testing::HasSubstr("fixedInternalStepSize=\"2e-05\""));
  EXPECT_THAT(text, testing::HasSubstr("canHandleVariableCommunicationStepSize=\"true\""));
}

// Section 2.4.7: references and names are unique, one variable is independent, inputs and
// parameters have a start and calculated outputs none, what is not real is discrete, and every unit
// is defined. Section 2.4.8: the structure lists every output, and every calculated one as an
// initial unknown.
TEST(UnitDescription, VariablesKeepTheStandardsRules) {
  for (const bool with_controller : {false, true}) {
    const std::string text = description(with_controller);
    const std::vector<std::string> elements = all(text, "(<(?:Float64|Boolean|Int32) [^>]*/>)");
    const std::vector<std::string> defined_list = all(text, "<Unit name=\"([^\"]*)\"");
    const std::set<std::string> defined(defined_list.begin(), defined_list.end());
    std::set<std::string> names, references, outputs;
    int independent = 0;
    for (const std::string& element : elements) {
      const auto of = [&](const std::string& name) {
        const auto found = all(element, " " + name + "=\"([^\"]*)\"");
        return found.empty() ? std::string() : found[0];
      };
      EXPECT_TRUE(names.insert(of("name")).second) << element;
      EXPECT_TRUE(references.insert(of("valueReference")).second) << element;
      EXPECT_FALSE(of("description").empty()) << element;
      const std::string causality = of("causality");
      const bool given = causality == "input" || causality == "parameter";
      EXPECT_EQ(of("start").empty(), !given) << element;
      independent += causality == "independent" ? 1 : 0;
      if (causality == "output") {
        EXPECT_EQ(of("initial"), "calculated") << element;
        outputs.insert(of("valueReference"));
      }
      const bool real = element.starts_with("<Float64");
      EXPECT_EQ(of("variability"), causality == "parameter" ? "fixed"
                                   : real                   ? "continuous"
                                                            : "discrete");
      EXPECT_EQ(defined.count(of("unit")), real ? 1u : 0u) << element;
    }
    EXPECT_EQ(independent, 1);
    for (const char* kind : {"Output", "InitialUnknown"}) {
      const auto listed = all(text, std::string("<") + kind + " valueReference=\"([0-9]+)\"");
      EXPECT_EQ(std::set<std::string>(listed.begin(), listed.end()), outputs) << kind;
    }
    EXPECT_EQ(names.count("command"), with_controller ? 0u : 1u);
    EXPECT_EQ(names.count("seed_sensor"), with_controller ? 1u : 0u);
  }
}

// Powers of the SI base units: BIPM, The International System of Units, 9th edition, table 4.
TEST(UnitDescription, UnitsAreTheirPowersOfBaseUnits) {
  const std::string text = description(false);
  for (const char* element :
       {"<Unit name=\"Pa\">\n      <BaseUnit kg=\"1\" m=\"-1\" s=\"-2\"/>",
        "<Unit name=\"V\">\n      <BaseUnit kg=\"1\" m=\"2\" s=\"-3\" A=\"-1\"/>",
        "<Unit name=\"m3/s\">\n      <BaseUnit m=\"3\" s=\"-1\"/>",
        "<Unit name=\"1\">\n      <BaseUnit/>"})
    EXPECT_THAT(text, testing::HasSubstr(element));
}

TEST(UnitDescription, NamesOfPeopleCannotBreakIt) {
  sim::unit::UnitContents odd = contents(false);
  odd.scenario.name = "a \"b\" <c> & d";
  const std::string text = sim::unit::model_description(odd, {.token = "t", .step_ns = 20'000});
  EXPECT_THAT(text, testing::HasSubstr("modelName=\"a &quot;b&quot; &lt;c&gt; &amp; d\""));
}

}  // namespace
