// Where a character beyond ASCII may stand in TOML 1.0.0, and where not.
#include <gtest/gtest.h>

#include <fstream>

#include "sim/text/document.h"
#include "sim/text/input_error.h"
#include "tests/support/scratch_folder.h"

namespace {

std::string error_of(const std::string& toml) {
  const ScratchFolder scratch;
  const auto file = scratch.path() / "some.toml";
  std::ofstream(file) << toml;
  try {
    sim::text::read_document(file);
  } catch (const sim::text::InputError& error) {
    return error.what();
  }
  return "";
}

TEST(BeyondAscii, MayStandInTextAndInComments) {
  for (const char* toml : {
           "# größer\na = 1",
           "a = \"ö\" # ö",
           "a = 'ö'",
           "a = \"\\\"ö\"",
           "a = 'c:\\'\nb = 'ö'",
           "a = \'\'\'ö\n'ö' ö\n\'\'\'\nb = 1",
           "a = \"\"\"\nö \"ö\" \\\n  b\"\"\"\n",
           "\"ö\" = 1",
           "a = [\"ö\", 'ö', {\"ö\".\"ö\" = \"ö\"}]\n[\"ö\"]",
       })
    EXPECT_EQ(error_of(toml), "") << toml;
}

// Each is read by another part of the parser. U+00B6 and U+1E9E lie in the blocks that hold blank
// characters, where toml++ 3.3 takes every other character for impossible.
TEST(BeyondAscii, ElsewhereIsAMistakeWithItsLine) {
  const std::pair<const char*, int> mistakes[] = {
      {"länge = 2", 1},
      {"a = 1\nlänge = 2", 2},
      {"a = \"ö\"\n# ö\n[ö]", 3},
      {"a = 20 °C", 1},
      {"a = 'c:\\' ö", 1},
      {"a = \"\"\"\nb\n\"\"\"\nö", 4},
      {"a = \"\"\"b \\Ω\"\"\"", 1},
      {"a = 7T{m\"ö\"", 1},
      {"title =666.'6\u00b66000:4=6", 1},
      {"a = 1\u1e9e", 1},
      {"a\u00b6 = 1", 1},
      {"a = [1,\n\u00b6]", 2},
      {"a.\u00b6 = 1", 1},
      {"[a]\u00b6", 1},
      {"a = {b = 1 \u00b6}", 1},
  };
  for (const auto& [toml, line] : mistakes) {
    const std::string place = "some.toml:" + std::to_string(line) + ": ";
    EXPECT_NE(error_of(toml).find(place), std::string::npos) << toml << "\n" << error_of(toml);
  }
}

// What is set on the command line may be bare.
TEST(BeyondAscii, ABareValueMayHoldIt) {
  const sim::text::Node node = sim::text::parse_value("20 °C", {});
  EXPECT_EQ(node.kind, sim::text::NodeKind::kText);
  EXPECT_EQ(node.text, "20 °C");
  EXPECT_THROW(sim::text::parse_value("[\"a\", ö]", {}), sim::text::InputError);
  EXPECT_EQ(sim::text::parse_value("\"ö\"", {}).text, "ö");
}

}  // namespace
