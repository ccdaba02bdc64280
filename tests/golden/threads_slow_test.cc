// The number of threads changes how long a run or a sweep takes and nothing else. Quick tests hold
// one thread against five.
#include <gtest/gtest.h>

#include "tests/golden/golden_case.h"
#include "tests/support/run_program.h"

TEST(SameBytes, WithTwoAndThreeThreads) {
  for (const golden::Case& chosen : golden::cases()) {
    const golden::Bytes two = golden::bytes_of(support::sillion_path(), chosen, 2);
    golden::expect_same(two, golden::bytes_of(support::sillion_path(), chosen, 3),
                        chosen.name + " with 3 threads against 2");
  }
}

// A sweep hands its cells to the threads in any order and puts the results in place by number.
TEST(SameBytes, OfASweepWithOneAndFourThreads) {
  const support::ScratchFolder scratch;
  for (const char* threads : {"1", "4"}) {
    const support::Ended ended =
        support::sillion({"sweep", "tests/golden/small_sweep.toml", "--threads", threads, "--out",
                          (scratch.path() / threads).string()});
    ASSERT_TRUE(ended.code == 0 || ended.code == 1) << ended.code << "\n" << ended.err;
  }
  for (const char* file : {"summary.json", "cells.csv"}) {
    const std::string one = support::text_of(scratch.path() / "1" / file);
    const std::string four = support::text_of(scratch.path() / "4" / file);
    ASSERT_FALSE(one.empty()) << file;
    EXPECT_TRUE(one == four) << file << ": " << golden::parting(one, four);
  }
}
