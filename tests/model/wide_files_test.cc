// Files that are compiled for newer processors share no function with the rest of the program that
// an older processor could not run: the linker keeps one copy of a shared function, from any file.
#include <gtest/gtest.h>

#include <regex>
#include <sstream>
#include <string>
#include <vector>

#include "tests/support/run_program.h"

namespace {

/// Functions that another file may share, which the compiler puts each into a section of its own,
/// and in which an instruction with AVX's encoding stands.
std::vector<std::string> shared_with_wide_instructions(const std::string& disassembly) {
  const std::regex section("Disassembly of section (\\S+):");
  const std::regex wide("\\t(v[a-z0-9]+|k[a-z]+[bwdq])\\s+[^#]*%(x|y|z)mm");
  std::vector<std::string> found;
  std::istringstream lines(disassembly);
  std::string line, inside;
  bool own = false;
  while (std::getline(lines, line)) {
    std::smatch match;
    if (std::regex_search(line, match, section)) {
      inside = match[1];
      own = inside.find("._Z") != std::string::npos;
    } else if (own && std::regex_search(line, wide)) {
      found.push_back(inside + ": " + line);
      own = false;
    }
  }
  return found;
}

TEST(WideFiles, TheLookFindsWideInstructions) {
  const std::string one =
      "Disassembly of section .text._ZN5model1fEv:\n"
      "   0:\tc5 fb 58 c1          \tvaddsd %xmm1,%xmm0,%xmm0\n";
  EXPECT_EQ(shared_with_wide_instructions(one).size(), 1u);
  EXPECT_TRUE(
      shared_with_wide_instructions("Disassembly of section .text:\n" + one.substr(48)).empty());
}

TEST(WideFiles, ShareNothingThatAnOlderProcessorCannotRun) {
#if defined(__x86_64__)
  const std::string objects = SILLION_BINARY_DIR "/CMakeFiles/model.dir/model/";
  for (const char* name :
       {"fluid/line_wide_4", "fluid/line_wide_8", "row/row_lanes_4", "row/row_lanes_8"}) {
    const auto run =
        support::run_program({"objdump", "-d", "--no-show-raw-insn", objects + name + ".cc.o"});
    ASSERT_EQ(run.code, 0) << run.err;
    ASSERT_NE(run.out.find("ymm"), std::string::npos) << name << " is not compiled for AVX2";
    for (const std::string& one : shared_with_wide_instructions(run.out))
      ADD_FAILURE() << name << ": " << one;
  }
#else
  GTEST_SKIP() << "only x86-64 has such files";
#endif
}

}  // namespace
