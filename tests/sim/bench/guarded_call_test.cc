// A controller that goes wrong inside a call: the bench reports what happened and goes on.
#include "sim/bench/guarded_call.h"

#include <gtest/gtest.h>
#include <signal.h>
#include <stdlib.h>

#include <cfenv>
#include <functional>
#include <thread>
#include <vector>

#if defined(__SSE__)
#include <xmmintrin.h>
#endif

namespace sim::bench {
namespace {

class GuardedCall : public testing::Test {
 protected:
  void SetUp() override {
#if defined(__SANITIZE_THREAD__)
    GTEST_SKIP() << "this sanitizer holds signals back until the thread asks for something";
#endif
  }
};

CallEnd guarded(const std::function<void()>& body) {
  return guarded_call([](void* call) { (*static_cast<const std::function<void()>*>(call))(); },
                      const_cast<std::function<void()>*>(&body));
}

// Values that the compiler must not know.
volatile int zero = 0;
volatile float no_float = 0.0f;
int* volatile nowhere = nullptr;

[[gnu::noinline]] int endless(int depth) {
  volatile char taken[4096];
  taken[0] = static_cast<char>(depth);
  return zero == 0 ? endless(depth + 1) + taken[0] : depth;
}

TEST_F(GuardedCall, AnOrderlyCallIsNoFault) {
  int done = 0;
  EXPECT_EQ(guarded([&] { ++done; }).fault, CallFault::kNone);
  EXPECT_EQ(done, 1);
}

TEST_F(GuardedCall, ABadAddressIsACrashAndTheNextCallRuns) {
  const CallEnd end = guarded([] { *nowhere = 1; });
  EXPECT_EQ(end.fault, CallFault::kCrash);
  EXPECT_EQ(end.signal, SIGSEGV);
  EXPECT_EQ(guarded([] {}).fault, CallFault::kNone);
}

TEST_F(GuardedCall, AbortAndIllegalInstructionAreCrashes) {
  EXPECT_EQ(guarded([] { abort(); }).signal, SIGABRT);
  EXPECT_EQ(guarded([] { raise(SIGILL); }).signal, SIGILL);
}

// A used-up stack leaves none for the signal handler, so the handler has a stack of its own.
TEST_F(GuardedCall, EndlessRecursionIsACrash) {
#if defined(__SANITIZE_ADDRESS__)
  GTEST_SKIP() << "the sanitizer's own stack checks come first";
#endif
  std::thread([] { EXPECT_EQ(guarded([] { endless(0); }).fault, CallFault::kCrash); }).join();
}

TEST_F(GuardedCall, ACallThatNeverReturnsIsLeft) {
  const CallEnd end = guarded([] {
    while (zero == 0) asm volatile("");
  });
  EXPECT_EQ(end.fault, CallFault::kHang);
  EXPECT_EQ(guarded([] {}).fault, CallFault::kNone);
}

TEST_F(GuardedCall, ThreadsFailApart) {
  std::vector<CallFault> ends(6, CallFault::kNone);
  std::vector<std::thread> threads;
  for (std::size_t k = 0; k < ends.size(); ++k)
    threads.emplace_back([&ends, k] {
      ends[k] = guarded([k] {
                  if (k % 2 == 1) *nowhere = 1;
                }).fault;
    });
  for (std::thread& thread : threads) thread.join();
  for (std::size_t k = 0; k < ends.size(); ++k)
    EXPECT_EQ(ends[k], k % 2 == 1 ? CallFault::kCrash : CallFault::kNone) << k;
}

TEST_F(GuardedCall, ANotANumberShowsAsInvalidOperation) {
  EXPECT_EQ(guarded([] { no_float = no_float / no_float; }).fault, CallFault::kInvalidOperation);
  no_float = 0.0f;
  EXPECT_EQ(guarded([] { no_float = no_float / 3.0f; }).fault, CallFault::kNone);
}

TEST_F(GuardedCall, AChangedRoundingIsToldAndPutBack) {
  EXPECT_EQ(guarded([] { std::fesetround(FE_UPWARD); }).fault, CallFault::kFloatMode);
#if defined(__SSE__)
  EXPECT_EQ(guarded([] { _mm_setcsr(_mm_getcsr() ^ 0x8000u); }).fault, CallFault::kFloatMode);
  EXPECT_EQ(_mm_getcsr() & 0x6000u, 0u);
#endif
}

}  // namespace
}  // namespace sim::bench
