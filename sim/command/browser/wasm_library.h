// What the sources of the bench take from libraries and the packaged C++ library for WebAssembly
// (Debian's libc++ 19) lacks. The row's module is compiled with this header before every source, so
// that its sources are those of the program.
//
//   oneapi::tbb      a module has one thread: loops run in order, once-flags are plain flags. No
//                    result depends on the number of threads (tests/golden/threads_test.cc)
//   mutex, yield     left out of a library without threads; nothing to wait for
//   from_chars       of a double: read by strtod, which this C library rounds correctly and which
//                    knows one locale
//
// Errors   those of what runs
// Checked  tests/sim/command/row_module_slow_test.cc
#pragma once

#include <charconv>
#include <cstdlib>
#include <string>
#include <system_error>

namespace oneapi::tbb {

struct simple_partitioner {};

struct task_group_context {
  enum kind_type { bound, isolated };
  explicit task_group_context(kind_type = bound) {}
};

template <typename Index, typename Body, typename... How>
void parallel_for(Index from, Index to, const Body& body, const How&...) {
  for (Index at = from; at < to; ++at) body(at);
}

template <typename First, typename Second>
void parallel_invoke(const First& first, const Second& second, const task_group_context&) {
  first();
  second();
}

struct collaborative_once_flag {
  bool done = false;
};

template <typename Body>
void collaborative_call_once(collaborative_once_flag& flag, const Body& body) {
  if (flag.done) return;
  body();
  flag.done = true;
}

namespace this_task_arena {
inline int max_concurrency() { return 1; }
inline int current_thread_index() { return 0; }
template <typename Body>
void isolate(const Body& body) {
  body();
}
}  // namespace this_task_arena

}  // namespace oneapi::tbb

namespace tbb = oneapi::tbb;

namespace std {

struct mutex {
  void lock() {}
  void unlock() {}
};
namespace this_thread {
inline void yield() {}
}  // namespace this_thread

inline from_chars_result from_chars(const char* first, const char* last, double& value_si) {
  const string words(first, last);
  const size_t sign = words.starts_with('-') ? 1 : 0;
  const string_view digits = string_view(words).substr(sign);
  if (digits.empty() || digits.front() == '+' || digits.front() == '-' || digits.front() <= ' ')
    return {first, errc::invalid_argument};
  if (digits.starts_with("0x") || digits.starts_with("0X")) {  // strtod alone takes these
    value_si = sign == 1 ? -0.0 : 0.0;
    return {first + sign + 1, errc()};
  }
  char* end = nullptr;
  const double read_si = strtod(words.c_str(), &end);
  if (end == words.c_str()) return {first, errc::invalid_argument};
  if (read_si - read_si != 0.0 && digits.front() >= '0' && digits.front() <= '9')
    return {first + (end - words.c_str()), errc::result_out_of_range};
  value_si = read_si;
  return {first + (end - words.c_str()), errc()};
}

}  // namespace std
