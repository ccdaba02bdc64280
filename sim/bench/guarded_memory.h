// Memory that a controller may write, with nothing beside it that anybody needs.
//
//   ... | no access | fence | the memory | no access | ...
//
//   Its end touches a page without access, so an overrun crashes at its first word; before its
//   start lie words that nobody may change, and then a page without access as well.
//
// Shape    `bytes` rounded up to 8; 8-byte aligned; zero at first
// Errors   std::bad_alloc where the system has no memory
// Checked  tests/sim/bench/controller_host_test.cc
#pragma once

#include <cstddef>

namespace sim::bench {

class GuardedMemory {
 public:
  explicit GuardedMemory(std::size_t bytes);
  ~GuardedMemory();
  GuardedMemory(const GuardedMemory&) = delete;
  GuardedMemory& operator=(const GuardedMemory&) = delete;

  unsigned char* data() const { return data_; }
  std::size_t size() const { return size_; }
  /// True while nothing was written in the words before it and in the bytes that round its size up.
  bool fences_whole() const;
  /// Whether an address lies in the pages beside it that nobody may touch.
  bool beside(const void* address) const;
  void clear();

 private:
  unsigned char* room_ = nullptr;  // all that was mapped
  std::size_t room_bytes_ = 0;
  unsigned char* data_ = nullptr;
  std::size_t size_ = 0;
};

}  // namespace sim::bench
