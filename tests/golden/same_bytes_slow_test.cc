// The compiler, its optimisation and the processor's features change how long a run takes and
// nothing else.
//
// Each case builds the program in a folder of its own and compares its result files with those of
// the build under test.
#include <gtest/gtest.h>

#include <filesystem>
#include <string>
#include <vector>

#include "tests/golden/golden_case.h"
#include "tests/support/run_program.h"

namespace {

struct Build {
  std::string folder;
  std::string type;
  std::string c;
  std::string cxx;
};

/// Path of the built program; a failed build fails the test with the compiler's last words.
std::string built(const Build& build) {
  const std::string folder = std::string(SILLION_BINARY_DIR) + "/same_bytes/" + build.folder;
  const std::vector<std::vector<std::string>> commands = {
      {"cmake", "-G", "Ninja", "-S", SILLION_SOURCE_DIR, "-B", folder, "-DSILLION_TESTS=OFF",
       "-DCMAKE_BUILD_TYPE=" + build.type, "-DCMAKE_C_COMPILER=" + build.c,
       "-DCMAKE_CXX_COMPILER=" + build.cxx},
      {"cmake", "--build", folder, "--target", "sillion"}};
  for (const std::vector<std::string>& command : commands) {
    const support::Ended ended = support::run_program(command);
    const std::string said = ended.out + ended.err;
    EXPECT_EQ(ended.code, 0) << build.cxx << " " << build.type << ": "
                             << said.substr(said.size() > 4000 ? said.size() - 4000 : 0);
    if (ended.code != 0) return "";
  }
  return folder + "/sillion";
}

void expect_same_as_build_under_test(const Build& build) {
  const std::string other = built(build);
  ASSERT_FALSE(other.empty());
  for (const golden::Case& chosen : golden::cases()) {
    golden::expect_same(golden::bytes_of(support::sillion_path(), chosen, 2),
                        golden::bytes_of(other, chosen, 2),
                        chosen.name + " by " + build.cxx + " " + build.type);
  }
}

/// Whether the loader offers the processor's level 3; when a feature that this level needs is
/// masked, the loader no longer offers it.
bool offers_level_3(const support::Environment& environment) {
  const support::Ended said =
      support::run_program({"/lib64/ld-linux-x86-64.so.2", "--help"}, environment);
  return said.out.find("x86-64-v3 (supported") != std::string::npos;
}

}  // namespace

TEST(SameBytesSlow, OfDebugByTheFirstCompiler) {
  expect_same_as_build_under_test({"debug_gcc", "Debug", "gcc", "g++"});
}

TEST(SameBytesSlow, OfReleaseByTheSecondCompiler) {
  expect_same_as_build_under_test({"release_clang", "Release", "clang-19", "clang++-19"});
}

// The C library picks other code for exp, log, sin and pow when it sees no AVX2 and no FMA, and
// that code rounds differently. The names are those of glibc 2.36: it ignores a mask in an older
// spelling, so the test first asks the loader whether the mask took effect.
TEST(SameBytesSlow, UnderMaskedProcessorFeatures) {
  const support::Environment masked = {
      {"GLIBC_TUNABLES", "glibc.cpu.hwcaps=-AVX2,-FMA,-FMA4,-AVX512F,-AVX512VL"}};
  if (!offers_level_3({})) GTEST_SKIP() << "this processor has no AVX2 and FMA to mask";
  ASSERT_FALSE(offers_level_3(masked)) << "the mask took no effect";
  for (const golden::Case& chosen : golden::cases()) {
    golden::expect_same(golden::bytes_of(support::sillion_path(), chosen, 2),
                        golden::bytes_of(support::sillion_path(), chosen, 2, masked),
                        chosen.name + " masked");
  }
}
