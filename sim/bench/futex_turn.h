// Waiting for a number in shared memory to change, and waking whoever waits for it.
//
//   A waiter looks for a few microseconds before it sleeps in the kernel, as long as looking has
//   helped lately: beside an idle core an answer comes within one, on a busy machine looking only
//   costs time.
//
// Errors   none
// Checked  tests/sim/bench/apart_host_test.cc
#pragma once

#include <linux/futex.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

#include <atomic>
#include <cstdint>

namespace sim::bench {

inline void futex_sleep(const std::atomic<std::uint32_t>& number, std::uint32_t seen,
                        const timespec* most) {
  syscall(SYS_futex, &number, FUTEX_WAIT, seen, most, nullptr, 0);
}
inline void futex_wake(const std::atomic<std::uint32_t>& number) {
  syscall(SYS_futex, &number, FUTEX_WAKE, 1, nullptr, nullptr, 0);
}

/// How long to look before sleeping; it learns from whether looking helped.
class Look {
 public:
  /// Looks until `number` is no longer `seen`; false: it still is, so sleep.
  bool changed(const std::atomic<std::uint32_t>& number, std::uint32_t seen) {
    if (number.load(std::memory_order_acquire) != seen) return true;
    if (rest_ > 0) {
      --rest_;
      return false;
    }
    for (int k = 0; k < kMostLooks; ++k) {
      pause();
      if (number.load(std::memory_order_acquire) != seen) {
        misses_ = 0;
        return true;
      }
    }
    if (++misses_ >= kMostMisses) {
      misses_ = kMostMisses - 1;  // one more try after the rest
      rest_ = kRest;
    }
    return false;
  }

 private:
  static constexpr int kMostLooks = 400;  // some 10 us
  static constexpr int kMostMisses = 4;
  static constexpr int kRest = 400;
  static void pause() {
#if defined(__x86_64__)
    __builtin_ia32_pause();
#else
    std::atomic_signal_fence(std::memory_order_seq_cst);
#endif
  }
  int misses_ = 0;
  int rest_ = 0;
};

}  // namespace sim::bench
