// Numbers near 1e-308 are taken as zero while the plant steps: an idle column would run twice as
// slow on them.
//
// A guard sets flush-to-zero and denormals-are-zero and restores what it found. While one guard is
// held around many steps, the guards inside the steps find the mode set and do nothing. On
// processors without these modes a guard does nothing at all.
// Errors   none     State   the thread's own control register, restored
// Checked  tests/model/denormals_test.cc
#pragma once

#if defined(__SSE2__)
#include <xmmintrin.h>
#endif

namespace model {

class DenormalGuard {
 public:
#if defined(__SSE2__)
  DenormalGuard() : found_(_mm_getcsr()) {
    if ((found_ & kFlush) != kFlush) _mm_setcsr(found_ | kFlush);
  }
  ~DenormalGuard() {
    if ((found_ & kFlush) != kFlush) _mm_setcsr(found_);
  }

 private:
  static constexpr unsigned kFlush = 0x8040;  // flush-to-zero and denormals-are-zero
  unsigned found_;
#else
  DenormalGuard() {}
  ~DenormalGuard() {}
#endif

 public:
  DenormalGuard(const DenormalGuard&) = delete;
  DenormalGuard& operator=(const DenormalGuard&) = delete;
};

}  // namespace model
