// A call into an untrusted controller: whatever it does, the bench goes on and can say what
// happened, where, and at which instant.
//
//   crash     a signal of the processor on the calling thread (bad address, division by zero,
//             illegal instruction, stack overflow): the call is left where it stands
//   hang      more than 1 s of the thread's own processor time in one call, or 30 s of looks by the
//             watcher for a call that sleeps; an interrupt takes microseconds. Processor time is
//             measured so that a busy machine is no fault
//   threw     a C++ exception left the call: the interface is C, and firmware has none
//   floats    rounding, flush-to-zero or mask bits changed; or an invalid operation (0/0, a
//             not-a-number turned into an integer): the interface has integers only, so this is
//             where a not-a-number shows
//
// A call finds the floating-point state of a program that has just started (nearest, no
// flush-to-zero), whatever mode the plant steps in.
//
// Leaving a call by a jump runs no destructors of the controller. A controller that keeps to the
// interface owns nothing (no heap, no locks), so nothing is lost; one that took a lock leaves it
// taken. A thread sanitizer holds signals back: under it no call is left.
// Outside x86 the mask and flush bits are not looked at.
// Errors   none thrown: the fault is returned; a signal outside such a call goes on to whoever had
//          it before
// Checked  tests/sim/bench/guarded_call_test.cc
#pragma once

#include <cstdint>
#include <string>

namespace sim::bench {

enum class CallFault : std::uint8_t { kNone, kCrash, kHang, kThrew, kFloatMode, kInvalidOperation };

struct CallEnd {
  CallFault fault = CallFault::kNone;
  int signal = 0;                 // of a crash
  const void* address = nullptr;  // that a crash touched, where the system reports it
  std::string detail = {};        // of an exception: its type and what it says
};

/// Runs body(context) on this thread.
CallEnd guarded_call(void (*body)(void*), void* context);
/// The exception that is being handled: "std::runtime_error: what it says".
std::string exception_words();
/// The fault in words: "crashed (bad address)"; empty for none.
std::string fault_words(const CallEnd& end);

}  // namespace sim::bench
