// The error counters of one node on a CAN bus, and what they allow it.
//
//   transmit errors   +8 for each of its frames that is destroyed, -1 for each that passes
//   receive errors    +1 for each frame of another node that is destroyed, -1 for each that passes,
//                     from beyond 127 back to 127
//   error passive     either counter at 128 or more
//   bus off           transmit errors beyond 255: the node neither sends nor receives until it has
//                     seen 128 times 11 recessive bits; then both counters are 0
//
// State    the counters, recessive bits seen while bus off
// Valid    every receiver notices an error at the same bit: none is the first to notice it alone
//          (+8 for that one), and every frame finds a node that acknowledges it
// Errors   none
// Source   Bosch, CAN Specification 2.0, part B, 1991, fault confinement, from memory
// Checked  tests/sim/bench/can_node_test.cc
#pragma once

#include <algorithm>
#include <cstdint>

namespace sim::bench {

inline constexpr std::int64_t kRecoveryBits = 128 * 11;

class CanNode {
 public:
  bool off() const { return off_; }
  bool passive() const { return transmit_errors_ >= 128 || receive_errors_ >= 128; }
  int transmit_errors() const { return transmit_errors_; }
  int receive_errors() const { return receive_errors_; }
  std::int64_t bits_to_recovery() const { return kRecoveryBits - recessive_bits_; }

  void frame_sent() { transmit_errors_ = std::max(0, transmit_errors_ - 1); }
  void frame_destroyed() {
    transmit_errors_ += 8;
    if (transmit_errors_ > 255) go_off();
  }
  void frame_received() {
    if (receive_errors_ > 127)
      receive_errors_ = 127;
    else if (receive_errors_ > 0)
      --receive_errors_;
  }
  void frame_missed() { ++receive_errors_; }
  void go_off() {
    off_ = true;
    transmit_errors_ = 256;
    recessive_bits_ = 0;
  }
  /// While bus off: true when it comes back.
  bool sees_recessive(std::int64_t bits) {
    recessive_bits_ += bits;
    if (recessive_bits_ < kRecoveryBits) return false;
    *this = {};
    return true;
  }

 private:
  int transmit_errors_ = 0;
  int receive_errors_ = 0;
  bool off_ = false;
  std::int64_t recessive_bits_ = 0;
};

}  // namespace sim::bench
