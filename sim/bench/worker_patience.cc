#include "sim/bench/worker_patience.h"

#include <fmt/format.h>
#include <time.h>

#include <fstream>
#include <iterator>
#include <string>

namespace sim::bench {
namespace {

constexpr std::int64_t kSecondNs = 1'000'000'000;
constexpr std::int64_t kMostCpuNs = kSecondNs;
constexpr std::int64_t kMostSleepNs = kSecondNs;
constexpr std::int64_t kMostWaitNs = 30 * kSecondNs;

std::int64_t ns_of(clockid_t clock) {
  timespec at{};
  if (clock_gettime(clock, &at) != 0) return 0;
  return std::int64_t{at.tv_sec} * kSecondNs + at.tv_nsec;
}

std::int64_t cpu_ns_of(pid_t process) {
  clockid_t clock{};
  return clock_getcpuclockid(process, &clock) == 0 ? ns_of(clock) : 0;
}

/// The kernel's letter for what a process does: R runs, S sleeps; 0 where there is none.
char state_of(pid_t process) {
  std::ifstream in(fmt::format("/proc/{}/stat", process));
  const std::string text((std::istreambuf_iterator<char>(in)), std::istreambuf_iterator<char>());
  const std::size_t name_ends = text.rfind(')');
  return name_ends == std::string::npos || name_ends + 2 >= text.size() ? '\0'
                                                                        : text[name_ends + 2];
}

}  // namespace

const char* WorkerPatience::over(pid_t process) {
  const std::int64_t now_ns = ns_of(CLOCK_MONOTONIC);
  if (began_ns_ < 0) began_ns_ = awake_ns_ = now_ns;
  if (process <= 0) return now_ns - began_ns_ > kMostWaitNs ? "could not be started" : nullptr;
  const std::int64_t cpu_ns = cpu_ns_of(process);
  if (first_cpu_ns_ < 0) first_cpu_ns_ = cpu_ns;
  if (state_of(process) != 'S' || cpu_ns != last_cpu_ns_) awake_ns_ = now_ns;
  last_cpu_ns_ = cpu_ns;
  if (cpu_ns - first_cpu_ns_ >= kMostCpuNs) return "does not return: more than 1 s in one call";
  if (now_ns - awake_ns_ >= kMostSleepNs)
    return "sleeps in a call: more than 1 s without an answer";
  if (now_ns - began_ns_ >= kMostWaitNs) return "does not return: more than 30 s in one call";
  return nullptr;
}

}  // namespace sim::bench
