// One computation for each key, whoever asks and how many at once.
#include "sim/bench/once_table.h"

#include <gtest/gtest.h>
#include <oneapi/tbb/global_control.h>
#include <oneapi/tbb/parallel_for.h>

#include <atomic>
#include <stdexcept>

namespace sim::bench {
namespace {

namespace tbb = oneapi::tbb;

TEST(OnceTable, ThreadsThatAskForOneKeyShareOneComputation) {
  const tbb::global_control five(tbb::global_control::max_allowed_parallelism, 5);
  OnceTable<int> table(8);
  std::atomic<int> computed{0}, wrong{0};
  tbb::parallel_for(0, 60, [&](int k) {
    const int got = table.value_of(std::to_string(k % 3), [&] {
      std::atomic<int> sum{0};
      tbb::parallel_for(0, 1000, [&](int part) { sum += part % 2; });
      ++computed;
      return 10 * (k % 3) + sum / 500;
    });
    if (got != 10 * (k % 3) + 1) ++wrong;
  });
  EXPECT_EQ(computed, 3);
  EXPECT_EQ(wrong, 0);
}

TEST(OnceTable, AnExceptionLeavesTheKeyUnknown) {
  OnceTable<int> table(8);
  EXPECT_THROW(table.value_of("a", []() -> int { throw std::runtime_error("no"); }),
               std::runtime_error);
  EXPECT_EQ(table.value_of("a", [] { return 4; }), 4);
  EXPECT_EQ(table.value_of("a", [] { return 5; }), 4);
}

TEST(OnceTable, AFullTableForgets) {
  OnceTable<int> table(2);
  for (const char* key : {"a", "b", "c"}) EXPECT_EQ(table.value_of(key, [] { return 1; }), 1);
  EXPECT_EQ(table.value_of("c", [] { return 2; }), 1);
  EXPECT_EQ(table.value_of("a", [] { return 2; }), 2);
}

}  // namespace
}  // namespace sim::bench
