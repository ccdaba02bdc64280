// Counts every allocation of this binary while a guard lives, those by the C library's malloc as
// well. (tests/support/no_heap.h counts operator new alone, and its library brings the model along,
// which the controller's tests may not link.)
//
//   Include it in one file of a test binary: it replaces operator new and delete, and malloc,
//   calloc and realloc of the C library (which hand on to its own entry points), for the whole
//   binary. `const NoHeap guard; step(); EXPECT_EQ(guard.allocations(), 0);`
//
// Valid    GNU C library without a sanitizer: sanitizers bring a malloc of their own and pair every
//          new with its delete, so under them nothing is replaced and the tests here are skipped
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdlib>
#include <new>

#include "tests/controller/sanitized.h"

namespace test {

inline std::atomic<long> heap_calls{0};

class NoHeap {
 public:
  NoHeap() : before_(heap_calls.load()) {}
  long allocations() const { return heap_calls.load() - before_; }

 private:
  long before_;
};

}  // namespace test

#define SILLION_OWN_MALLOC (!SILLION_SANITIZED)

#if SILLION_OWN_MALLOC
extern "C" {
void* __libc_malloc(size_t size);
void* __libc_calloc(size_t count, size_t size);
void* __libc_realloc(void* old, size_t size);
void __libc_free(void* block);

void* malloc(size_t size) {
  test::heap_calls.fetch_add(1, std::memory_order_relaxed);
  return __libc_malloc(size);
}
void* calloc(size_t count, size_t size) {
  test::heap_calls.fetch_add(1, std::memory_order_relaxed);
  return __libc_calloc(count, size);
}
void* realloc(void* old, size_t size) {
  test::heap_calls.fetch_add(1, std::memory_order_relaxed);
  return __libc_realloc(old, size);
}
void free(void* block) { __libc_free(block); }
}

void* operator new(std::size_t size) {
  test::heap_calls.fetch_add(1, std::memory_order_relaxed);
  if (void* block = std::malloc(size == 0 ? 1 : size)) return block;
  throw std::bad_alloc();
}
void* operator new[](std::size_t size) { return operator new(size); }
void operator delete(void* block) noexcept { std::free(block); }
void operator delete(void* block, std::size_t) noexcept { std::free(block); }
void operator delete[](void* block) noexcept { std::free(block); }
void operator delete[](void* block, std::size_t) noexcept { std::free(block); }
#endif
