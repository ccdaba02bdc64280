// The number of threads changes how long a run takes and nothing else.
#include <gtest/gtest.h>

#include "tests/golden/golden_case.h"
#include "tests/support/run_program.h"

TEST(SameBytes, WithOneTwoAndFiveThreads) {
  for (const golden::Case& chosen : golden::cases()) {
    const golden::Bytes one = golden::bytes_of(support::sillion_path(), chosen, 1);
    for (const int threads : {2, 5})
      golden::expect_same(one, golden::bytes_of(support::sillion_path(), chosen, threads),
                          chosen.name + " with " + std::to_string(threads) + " threads against 1");
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
