// Comments that the rules on names must catch, each with a similar one that they must pass.
#include "tests/arch/name_rules.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <set>
#include <string>
#include <vector>

namespace {

using ::testing::IsEmpty;
using ::testing::SizeIs;

const std::vector<std::string> kPaths = {"sim/bench/pass.cc", "sim/study/valve_fit.h",
                                         "scenarios/demo.toml", "tests/published/setups/a_b.toml"};

auto paths(const std::string& path, const std::string& text) {
  return arch::path_findings({path, text}, kPaths);
}

auto words(const std::string& text) {
  return arch::word_findings({"sim/x.h", text}, {"InputError", "kMost", "limit_kinds"});
}

}  // namespace

TEST(PathRule, CatchesAFileThatIsNotThere) {
  for (const char* text :
       {"// see sim/bench/past.cc", "// see sim/bench/pas", "int a;  // scenarios/demo_two.toml.",
        "// Checked  tests/sim/x_test.cc", "// tests/published/setups/b_*.toml", "/* sim/page */"})
    EXPECT_THAT(paths("model/x.h", text), SizeIs(1)) << text;
  EXPECT_THAT(paths("DEVELOPERS.md", "| key | `scenarios/nowhere.toml` |"), SizeIs(1));
}

TEST(PathRule, CatchesAPathOutOfTheTree) {
  EXPECT_THAT(paths("sim/x.h", "// as quoted in ../notes/checks.md"), SizeIs(1));
}

TEST(PathRule, LetsFilesFoldersStarsAndEndingsLeftOutPass) {
  EXPECT_THAT(paths("model/x.h",
                    "// sim/bench/pass.cc, sim/bench/, sim/bench/pass. (scenarios/demo.toml)\n"
                    "// tests/published/setups/a_*.toml, sim/study/valve_f*, sim/bench/NAME.h\n"
                    "const char* path = \"scenarios/nowhere.toml\";\n"),
              IsEmpty());
  EXPECT_THAT(paths("README.md", "build/sim/x and ${ROOT}/sim/x"), IsEmpty());
}

TEST(PageRule, WantsThePathOfAPage) {
  EXPECT_THAT(arch::page_findings({"sim/x.h",
                                   "// Source  READ"
                                   "ME (Bands)\n"}),
              SizeIs(1));
  EXPECT_THAT(arch::page_findings({"sim/x.h",
                                   "// as READ"
                                   "ME.md lists them\n"}),
              IsEmpty());
}

TEST(WordRule, CatchesATypeAConstantAndAQuotedNameThatAreNowhere) {
  EXPECT_THAT(words("// Errors   NoCommand: no pulse\n"), SizeIs(1));
  EXPECT_THAT(words("// kLeast of them\n"), SizeIs(1));
  EXPECT_THAT(words("// `limits_known` lists them\n"), SizeIs(1));
}

TEST(WordRule, LetsWhatIsThereAndPlainWordsPass) {
  EXPECT_THAT(words("// InputError; at most kMost; `limit_kinds`. ISO 7256, Kachman, x_ref, Kf x\n"
                    "NoCommand a = \"kNothing\";\n"),
              IsEmpty());
  const std::set<std::string> code =
      arch::words_of_code({{"sim/a.h", "struct Seen {}; // Unseen\n"}, {"A.md", "Written"}});
  EXPECT_EQ(code, (std::set<std::string>{"Seen", "struct"}));
}
