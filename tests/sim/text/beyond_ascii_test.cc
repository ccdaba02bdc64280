// Where a character beyond ASCII may stand in TOML 1.0.0, and where not.
#include "sim/text/beyond_ascii.h"

#include <gtest/gtest.h>

#include <fstream>

#include "sim/text/document.h"
#include "sim/text/input_error.h"
#include "tests/support/scratch_folder.h"

namespace {

using sim::text::line_beyond_ascii;

TEST(BeyondAscii, MayStandInTextAndInComments) {
  for (const char* toml : {
           "",
           "a = 1",
           "# größer\na = 1",
           "a = \"ö\" # ö",
           "a = 'ö'",
           "a = \"\\\"ö\"",
           "a = 'c:\\'\nb = 2",
           "a = '''ö\n'ö' ö\n'''\nb = 1",
           "a = \"\"\"\nö \"ö\" \\\n  b\"\"\"\n",
           "a = \"# no comment\" # ö",
           "\"ö\" = 1",
       })
    EXPECT_EQ(line_beyond_ascii(toml), 0) << toml;
}

TEST(BeyondAscii, StandsOutsideAtItsLine) {
  EXPECT_EQ(line_beyond_ascii("\xC3\x98qui"), 1);
  EXPECT_EQ(line_beyond_ascii("\xEF\xBB\x8D"), 1);
  EXPECT_EQ(line_beyond_ascii("a = 1\nö = 2"), 2);
  EXPECT_EQ(line_beyond_ascii("a = \"ö\"\n# ö\n[ö]"), 3);
  EXPECT_EQ(line_beyond_ascii("a = 20 °C"), 1);
  EXPECT_EQ(line_beyond_ascii("a = 'c:\\' ö"), 1);
  EXPECT_EQ(line_beyond_ascii("a = \"b\\\\\" ö"), 1);
  EXPECT_EQ(line_beyond_ascii("a = \"\"\"\nb\n\"\"\"\nö"), 4);
  EXPECT_EQ(line_beyond_ascii("a = \"\"\"b \\\n\n  ö\"\"\""), 3);
  EXPECT_EQ(line_beyond_ascii("a = \"\"\"b \\Ω\"\"\""), 1);
  EXPECT_EQ(line_beyond_ascii("a = \"\"\"b \\\\Ω\"\"\" ö"), 1);
  EXPECT_EQ(line_beyond_ascii("a = \"\"\"\n\\\\Ω\n\"\"\""), 0);
  EXPECT_EQ(line_beyond_ascii("a = 7T{m\"ö\""), 1);
  EXPECT_EQ(line_beyond_ascii("a = [\"ö\", 'ö', {\"ö\".\"ö\" = \"ö\"}]\n[\"ö\"]"), 0);
  EXPECT_EQ(line_beyond_ascii("a = \"it does not close\nö"), 2);
}

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

TEST(BeyondAscii, IsAMistakeWithItsLine) {
  const std::string error = error_of("a = 1\nlänge = 2\n");
  EXPECT_NE(error.find("some.toml:2: "), std::string::npos) << error;
  EXPECT_NE(error.find("quotes"), std::string::npos) << error;
  EXPECT_EQ(error_of("# Länge\na = \"ö\"\n"), "");
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
