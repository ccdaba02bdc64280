// The floating-point state around a call that must leave it as it was.
//
//   mode      rounding, flush-to-zero, denormals-are-zero and exception masks
//   invalid   the sticky flag of an invalid operation: 0/0, inf - inf, a not-a-number to an integer
//
// Errors   none. Outside x86 only rounding counts as mode
// Checked  tests/sim/bench/guarded_call_test.cc
#pragma once

#include <cfenv>
#include <cstdint>

#if defined(__SSE__)
#include <xmmintrin.h>
#endif

namespace sim::bench {

enum class FloatChange : std::uint8_t { kNone, kMode, kInvalid };

#if defined(__SSE__)
/// Takes the state and sets that of a program that has just started; restore() puts it back and
/// says what happened between.
class FloatState {
 public:
  FloatState() : before_(_mm_getcsr()), round_(std::fegetround()) { _mm_setcsr(kFresh); }
  FloatChange restore() const {
    const unsigned after = _mm_getcsr();
    // the x87 unit has a rounding of its own, which is what fegetround reads
    const bool rounds_otherwise = std::fegetround() != round_;
    if (rounds_otherwise) std::fesetround(round_);
    _mm_setcsr(before_);
    if (rounds_otherwise || ((after ^ kFresh) & ~kFlags) != 0) return FloatChange::kMode;
    return (after & kInvalid) != 0 ? FloatChange::kInvalid : FloatChange::kNone;
  }

 private:
  static constexpr unsigned kFresh = 0x1f80;  // all exceptions masked, nearest, no flush-to-zero
  static constexpr unsigned kFlags = 0x3f;
  static constexpr unsigned kInvalid = 0x01;
  unsigned before_;
  int round_;
};
#else
class FloatState {
 public:
  FloatState() : round_(std::fegetround()) { std::feclearexcept(FE_ALL_EXCEPT); }
  FloatChange restore() const {
    const bool mode = std::fegetround() != round_;
    const bool invalid = std::fetestexcept(FE_INVALID) != 0;
    std::fesetround(round_);
    std::feclearexcept(FE_ALL_EXCEPT);
    return mode ? FloatChange::kMode : invalid ? FloatChange::kInvalid : FloatChange::kNone;
  }

 private:
  int round_;
};
#endif

}  // namespace sim::bench
