#include "controller/seed_queue.h"

#include <gtest/gtest.h>

namespace {

using controller::Seed;
using controller::SeedQueue;

Seed numbered(std::uint32_t number) {
  Seed seed;
  seed.number = number & 0x7fff'ffffu;
  return seed;
}

TEST(SeedQueue, FirstInFirstOutRoundTheEnd) {
  SeedQueue queue;
  std::uint32_t in = 0;
  std::uint32_t out = 0;
  for (int round = 0; round < 50; ++round) {
    for (int i = 0; i < 7; ++i) EXPECT_TRUE(queue.push(numbered(in++)));
    for (int i = 0; i < 7; ++i) {
      EXPECT_EQ(queue.front().number, out++);
      queue.pop();
    }
  }
  EXPECT_TRUE(queue.empty());
}

// 90 seeds per second times 0.7 s of flight are 63.
TEST(SeedQueue, HoldsSevenTenthsOfASecondAndKeepsTheOldestWhenFull) {
  static_assert(SeedQueue::kCapacity >= 63);
  SeedQueue queue;
  for (std::uint32_t i = 0; i < SeedQueue::kCapacity; ++i) EXPECT_TRUE(queue.push(numbered(i)));
  EXPECT_FALSE(queue.push(numbered(9999)));
  EXPECT_EQ(queue.front().number, 0u);
  EXPECT_EQ(queue.at(SeedQueue::kCapacity - 1).number, SeedQueue::kCapacity - 1);
}

TEST(SeedQueue, HasRoomAgainOnlyWithAMargin) {
  SeedQueue queue;
  for (std::uint32_t i = 0; i < SeedQueue::kCapacity; ++i) queue.push(numbered(i));
  queue.pop();
  EXPECT_FALSE(queue.has_room());
  while (queue.size() > SeedQueue::kRoomAgain) queue.pop();
  EXPECT_TRUE(queue.has_room());
}

TEST(SeedQueue, EmptyQueueSurvivesAPop) {
  SeedQueue queue;
  queue.pop();
  EXPECT_TRUE(queue.empty());
  EXPECT_EQ(queue.front().number, 0u);
}

TEST(SeedQueue, TheFrontOfAnEmptyQueueIsAZeroSeed) {
  const SeedQueue queue;
  EXPECT_EQ(queue.front().edge_ticks, 0u);
  EXPECT_EQ(queue.front().number, 0u);
  EXPECT_EQ(queue.front().placed, 0u);
  EXPECT_EQ(queue.front().reference_8nm, 0u);
}

TEST(SeedQueue, PlacesCountFromTheFrontAcrossTheEnd) {
  SeedQueue queue;
  for (std::uint32_t i = 0; i < SeedQueue::kCapacity; ++i) queue.push(numbered(i));
  for (int k = 0; k < 60; ++k) queue.pop();
  for (std::uint32_t i = 64; i < 70; ++i) queue.push(numbered(i));
  for (std::uint32_t i = 0; i < queue.size(); ++i) EXPECT_EQ(queue.at(i).number, 60 + i);
}

}  // namespace
