// The worker of a pass is started, asked and ended, also many at once; two that wait for each other
// take turns.
#include "sim/bench/apart_host.h"

#include <gtest/gtest.h>

#include <thread>
#include <vector>

#include "sim/bench/futex_turn.h"
#include "sim/bench/worker_exchange.h"
#include "sim/scenario/loader.h"
#include "tests/support/run_program.h"

namespace {

std::string example() {
  return std::string(SILLION_BINARY_DIR) + "/tests/libexample_controller.so";
}

TEST(ApartHost, DescribesTheHardwareOfTheLibrary) {
  const auto host = sim::bench::make_host_apart(example(), 1);
  EXPECT_TRUE(host->apart());
  const auto here = sim::bench::make_host_here(sim::bench::load_controller(example()), 1);
  const auto hardware = host->describe(SILLION_ROLE_ROW);
  const auto same = here->describe(SILLION_ROLE_ROW);
  ASSERT_TRUE(hardware && same);
  EXPECT_EQ(hardware->tick_ns, same->tick_ns);
  EXPECT_EQ(hardware->memory_bytes, same->memory_bytes);
  EXPECT_FALSE(host->describe(77).has_value());
}

TEST(ApartHost, ManyLiveSideBySideAndNoneIsLeft) {
  std::vector<std::thread> threads;
  std::atomic<int> described{0};
  for (int k = 0; k < 4; ++k)
    threads.emplace_back([&] {
      for (int n = 0; n < 8; ++n)
        if (sim::bench::make_host_apart(n % 2 == 0 ? example() : "", 2)->describe(SILLION_ROLE_ROW))
          ++described;
    });
  for (std::thread& one : threads) one.join();
  EXPECT_EQ(described, 32);
}

TEST(ApartHost, AFileThatIsNoLibraryIsAMistakeOfInput) {
  EXPECT_THROW(sim::bench::make_host_apart(std::string(SILLION_SOURCE_DIR) + "/README.md", 1),
               sim::text::InputError);
}

// Parts that one side may only read start at pages of their own.
TEST(WorkerExchange, PartsStartAtPages) {
  EXPECT_EQ(sim::bench::WorkerExchange::kAnsweredAt % sim::bench::kExchangePage, 0u);
  EXPECT_EQ(sim::bench::WorkerExchange::kWatchedAt % sim::bench::kExchangePage, 0u);
  EXPECT_GE(sim::bench::WorkerExchange::kWatchedAt - sim::bench::WorkerExchange::kAnsweredAt,
            sizeof(sim::bench::WorkerAnswered));
}

TEST(FutexTurn, TwoThatWaitForEachOtherTakeTurns) {
  std::atomic<std::uint32_t> ping{0}, pong{0};
  constexpr std::uint32_t kTurns = 20'000;
  const auto wait_for = [](std::atomic<std::uint32_t>& number, std::uint32_t wanted,
                           sim::bench::Look& look) {
    for (std::uint32_t seen; (seen = number.load()) != wanted;)
      if (!look.changed(number, seen)) sim::bench::futex_sleep(number, seen, nullptr);
  };
  std::thread other([&] {
    sim::bench::Look look;
    for (std::uint32_t k = 1; k <= kTurns; ++k) {
      wait_for(ping, k, look);
      pong.store(k);
      sim::bench::futex_wake(pong);
    }
  });
  sim::bench::Look look;
  for (std::uint32_t k = 1; k <= kTurns; ++k) {
    ping.store(k);
    sim::bench::futex_wake(ping);
    wait_for(pong, k, look);
  }
  other.join();
  EXPECT_EQ(pong.load(), kTurns);
}

}  // namespace
