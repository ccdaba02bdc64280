#include "sim/bench/guarded_memory.h"

#include <sys/mman.h>

#include <algorithm>
#include <new>

namespace sim::bench {
namespace {

constexpr std::size_t kPage = 4096;
constexpr std::size_t kGuard = 16 * kPage;
constexpr std::size_t kFenceBytes = 128;
constexpr unsigned char kFence = 0xa5;
constexpr std::size_t kWord = 8;

std::size_t rounded(std::size_t bytes, std::size_t to) { return (bytes + to - 1) / to * to; }

}  // namespace

GuardedMemory::GuardedMemory(std::size_t bytes) : size_(bytes) {
  const std::size_t words = rounded(bytes, kWord);
  const std::size_t inside = rounded(words + kFenceBytes, kPage);
  room_bytes_ = inside + 2 * kGuard;
  void* room = mmap(nullptr, room_bytes_, PROT_NONE, MAP_PRIVATE | MAP_ANONYMOUS, -1, 0);
  if (room == MAP_FAILED) throw std::bad_alloc();
  room_ = static_cast<unsigned char*>(room);
  if (mprotect(room_ + kGuard, inside, PROT_READ | PROT_WRITE) != 0) {
    munmap(room_, room_bytes_);
    throw std::bad_alloc();
  }
  data_ = room_ + kGuard + inside - words;
  std::fill_n(data_ - kFenceBytes, kFenceBytes, kFence);
  std::fill_n(data_ + size_, words - size_, kFence);
}

GuardedMemory::~GuardedMemory() { munmap(room_, room_bytes_); }

bool GuardedMemory::fences_whole() const {
  const auto whole = [](const unsigned char* from, const unsigned char* to) {
    return std::all_of(from, to, [](unsigned char byte) { return byte == kFence; });
  };
  return whole(data_ - kFenceBytes, data_) && whole(data_ + size_, data_ + rounded(size_, kWord));
}

bool GuardedMemory::beside(const void* address) const {
  const auto* at = static_cast<const unsigned char*>(address);
  const unsigned char* end = data_ + rounded(size_, kWord);
  return (at >= room_ && at < room_ + kGuard) || (at >= end && at < end + kGuard);
}

void GuardedMemory::clear() { std::fill_n(data_, size_, static_cast<unsigned char>(0)); }

}  // namespace sim::bench
