#include <gtest/gtest.h>

#include <cstdlib>
#include <cstring>
#include <memory>

#include "tests/controller/fake_hardware.h"
#include "tests/controller/heap_guard.h"

namespace {

#if SILLION_OWN_MALLOC
#define NEEDS_THE_GUARD() static_cast<void>(0)
#else
#define NEEDS_THE_GUARD() GTEST_SKIP() << "a sanitizer owns the heap"
#endif

TEST(NoHeap, TheGuardSeesBothWaysToTheHeap) {
  NEEDS_THE_GUARD();
  const test::NoHeap guard;
  const auto one = std::make_unique<int>(1);
  EXPECT_GE(guard.allocations(), 1);
  const test::NoHeap plain;
  void* volatile block = std::malloc(10);
  EXPECT_EQ(plain.allocations(), 1);
  std::free(block);
}

/// 20 s of work straight at the interface, so that nothing else can touch the heap.
long allocations_of(const sillion_config& config, bool with_edges) {
  static std::uint64_t block[4096];
  static sillion_input in;
  static sillion_output out;
  sillion_controller* controller = nullptr;
  controller::MotionFrame motion;
  motion.valid_ms = 500;
  motion.speed_umps = 4'000'000;
  const test::NoHeap guard;
  controller = sillion_init(block, sizeof block, &config, nullptr, 0, nullptr, 0);
  if (controller == nullptr) return -1;
  for (std::uint32_t ms = 1; ms <= 20'000; ++ms) {
    std::memset(&in, 0, sizeof in);
    std::memset(&out, 0, sizeof out);
    in.now_ticks = config.start_ticks + ms * 1000;
    in.why = SILLION_WHY_TICK;
    in.digital = ms % 5000 < 4500 ? 7 : 0;
    if (ms % 100 == 0) {
      motion.sequence = static_cast<std::uint16_t>(ms / 100);
      in.frames[in.frame_count] = controller::encode(motion);
      in.frames[in.frame_count++].received_ticks = in.now_ticks;
    }
    if (with_edges && ms % (ms < 10'000 ? 20 : 2) == 0) {
      in.edges[in.edge_count++] = {in.now_ticks - 100, 1, {}};
    }
    sillion_step(controller, &in, &out);
  }
  return guard.allocations();
}

TEST(NoHeap, ARowAllocatesNothing) {
  NEEDS_THE_GUARD();
  EXPECT_EQ(allocations_of(test::row_config(), true), 0);
}

TEST(NoHeap, AMachineAllocatesNothing) {
  NEEDS_THE_GUARD();
  EXPECT_EQ(allocations_of(test::machine_config(), false), 0);
}

}  // namespace
