// The number of threads changes how long a run takes and nothing else.
#include <gtest/gtest.h>

#include "tests/golden/golden_case.h"
#include "tests/support/run_program.h"

// Two threads: see the slow tests.
TEST(SameBytes, WithOneAndFiveThreads) {
  for (const golden::Case& chosen : golden::cases())
    golden::expect_same(golden::bytes_of(support::sillion_path(), chosen, 1),
                        golden::bytes_of(support::sillion_path(), chosen, 5),
                        chosen.name + " with 5 threads against 1");
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
