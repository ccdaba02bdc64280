// The number of threads changes how long a run takes and nothing else.
#include <gtest/gtest.h>

#include "tests/golden/golden_case.h"
#include "tests/support/run_program.h"

TEST(SameBytes, WithOneAndFourThreads) {
  for (const golden::Case& chosen : golden::cases()) {
    const golden::Bytes one = golden::bytes_of(support::sillion_path(), chosen, 1);
    golden::expect_same(one, golden::bytes_of(support::sillion_path(), chosen, 4),
                        chosen.name + " with 4 threads against 1");
  }
}

// If rng_key were ignored or the files were constant, the test above would pass and show nothing.
TEST(SameBytes, ButNotWithAnotherKey) {
  golden::Case chosen = golden::cases().front();
  const golden::Bytes first = golden::bytes_of(support::sillion_path(), chosen, 2);
  chosen.sets.push_back("rng_key=7");
  const golden::Bytes second = golden::bytes_of(support::sillion_path(), chosen, 2);
  EXPECT_NE(first.seeds, second.seeds);
  EXPECT_NE(first.summary, second.summary);
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
