// Seeds in flight: sensed and not yet fired, first in, first out.
//
//   When full, the oldest seeds stay and the new one is refused. The caller counts it and runs the
//   stream until the queue has room again (three quarters full: at one free place the stream would
//   start and stop with every seed).
//
// Each     the edge's instant; the place of the outlet when the delivery time had passed, once
//          known
// Size     64 of 12 bytes: at 90 seeds per second that is 0.7 s of flight, several times what an
//          attachment needs
// Errors   front() of an empty queue gives a zero seed
// Checked  tests/controller/seed_queue_test.cc
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

namespace controller {

struct Seed {
  std::uint32_t edge_ticks = 0;
  std::uint32_t number : 31 = 0;    // since reset
  std::uint32_t placed : 1 = 0;     // 1: reference_pm is known
  std::uint32_t reference_8nm = 0;  // odometer when the delivery time had passed, wraps
};
static_assert(sizeof(Seed) == 12);

class SeedQueue {
 public:
  static constexpr std::size_t kCapacity = 64;
  static constexpr std::size_t kRoomAgain = 48;

  bool push(const Seed& seed) {
    if (count_ == kCapacity) return false;
    seeds_[(first_ + count_) % kCapacity] = seed;
    ++count_;
    return true;
  }
  void pop() {
    if (count_ == 0) return;
    first_ = (first_ + 1) % kCapacity;
    --count_;
  }
  void clear() { count_ = 0; }
  bool empty() const { return count_ == 0; }
  bool has_room() const { return count_ <= kRoomAgain; }
  std::size_t size() const { return count_; }
  Seed& at(std::size_t index) { return seeds_[(first_ + index) % kCapacity]; }
  const Seed& front() const { return seeds_[first_ % kCapacity]; }

 private:
  std::array<Seed, kCapacity> seeds_{};
  std::size_t first_ = 0;
  std::size_t count_ = 0;
};

}  // namespace controller
