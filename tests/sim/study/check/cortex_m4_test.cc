// The reference controller's sources on a Cortex-M4F: the same answers as here, within a budget of
// instructions and stack.
//
// Valid    the emulator counts instructions, not cycles: it knows neither wait states of a flash
//          memory nor the pipeline. One cycle per instruction is the least that a part takes
#include "tests/sim/study/check/cortex_m4.h"

#include <gmock/gmock.h>

#include <algorithm>
#include <cstdio>
#include <filesystem>

namespace {

TEST(CortexM4, EveryCallHasTheBytesOfThisMachine) {
  NEEDS_THE_PART();
  EXPECT_EQ(test::parting_of({"seeds at 30 Hz with noise",
                              "pull_request_still.toml",
                              {"duration=1.2 s", "row.count=1", "noise.speed_noise=0.02 m/s"}}),
            "");
  EXPECT_EQ(test::parting_of({"more seeds than the queue holds",
                              "pull_request_still.toml",
                              {"duration=1 s", "row.count=1", "delivery.path=1.2 m",
                               "seeding.spacing=15 mm", "rate.band_length=5 mm"}}),
            "");
  for (const std::uint32_t role : {SILLION_ROLE_ROW, SILLION_ROLE_MACHINE}) {
    const test::PartFigures seen = test::part_figures(role);
    std::printf("%s: largest call %u instructions, deepest stack %u bytes, %llu calls\n",
                role == SILLION_ROLE_ROW ? "row" : "machine", seen.instructions, seen.stack_bytes,
                static_cast<unsigned long long>(seen.calls));
    EXPECT_GT(seen.calls, 500u);
    EXPECT_GT(seen.instructions, 100u);
    EXPECT_LE(seen.instructions, test::kMostInstructions);
    EXPECT_GT(seen.stack_bytes, 50u);
    EXPECT_LE(seen.stack_bytes, test::kMostStackBytes);
  }
}

TEST(CortexM4, ThePaintedStackIsWhatTheCompilerSays) {
  NEEDS_THE_PART();
  test::StackReport report;
  int files = 0;
  for (const auto& entry : std::filesystem::directory_iterator(test::kPartFolder))
    if (entry.path().extension() == ".ci" && test::read_stack_report(entry.path(), report)) ++files;
  ASSERT_GT(files, 10);
  EXPECT_TRUE(report.bounded);
  // What the compiler's own library takes is not in the report; nothing else may be missing there.
  EXPECT_THAT(report.unreported(), testing::IsSubsetOf({"memcpy", "memmove", "memset", "strlen",
                                                        "__aeabi_ldivmod", "__aeabi_uldivmod"}));
  const std::uint32_t said =
      std::max(report.deepest_bytes("sillion_step"), report.deepest_bytes("sillion_init"));
  ASSERT_EQ(
      test::parting_of({"a row that starts, works and is closed",
                        "pull_request_still.toml",
                        {"duration=1 s", "row.count=1", "work.run_times=[\"0.5 s\", \"0.7 s\"]"}}),
      "");
  const std::uint32_t seen = std::max(test::part_figures(SILLION_ROLE_ROW).stack_bytes,
                                      test::part_figures(SILLION_ROLE_MACHINE).stack_bytes);
  std::printf("deepest stack: %u bytes painted over, %u by the compiler's report\n", seen, said);
  EXPECT_LE(said, test::kMostStackBytes);
  EXPECT_NEAR(static_cast<double>(seen), static_cast<double>(said), 64.0);
}

}  // namespace
