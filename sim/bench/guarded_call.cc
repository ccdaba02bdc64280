#include "sim/bench/guarded_call.h"

#include <cxxabi.h>
#include <fmt/format.h>
#include <pthread.h>
#include <setjmp.h>
#include <signal.h>
#include <time.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdlib>
#include <exception>
#include <memory>
#include <mutex>
#include <thread>
#include <typeinfo>
#include <utility>
#include <vector>

#include "sim/bench/float_state.h"

namespace sim::bench {
namespace {

constexpr int kCrashSignals[] = {SIGSEGV, SIGBUS, SIGFPE, SIGILL, SIGABRT};
/// Ignored by default, so a signal that comes too late does nothing.
constexpr int kHangSignal = SIGURG;
constexpr auto kWatchEvery = std::chrono::milliseconds(50);
constexpr int kMostLooks = 600;
constexpr std::int64_t kMostCallCpuNs = 1'000'000'000;
constexpr std::size_t kGuardStackBytes = 64 * 1024;

/// One thread that calls controllers. `calls` is odd inside a call.
struct Caller {
  std::atomic<std::uint64_t> calls{0};
  std::atomic<std::uint64_t> ended_by_watcher{0};  // the call that the watcher gave up
  sigjmp_buf landing;
  const void* address = nullptr;  // that the crash touched
  std::string threw;              // empty: nothing
  pthread_t thread = pthread_self();
  clockid_t cpu_clock{};
  // of the watcher
  std::uint64_t seen_call = 0;
  std::int64_t seen_cpu_ns = 0;
  int looks = 0;
};

struct Callers {
  std::mutex mutex;
  std::vector<Caller*> all;
};

// Never destroyed: the watcher may look while the program ends.
Callers& callers() {
  static Callers* const kept = new Callers;
  return *kept;
}

thread_local Caller* this_caller = nullptr;
struct sigaction before[NSIG];

std::int64_t cpu_ns(clockid_t clock) {
  timespec at{};
  if (clock_gettime(clock, &at) != 0) return 0;
  return std::int64_t{at.tv_sec} * 1'000'000'000 + at.tv_nsec;
}

bool inside(const Caller* caller) {
  return caller != nullptr && caller->calls.load(std::memory_order_relaxed) % 2 == 1;
}

void on_call_crash(int number, siginfo_t* told, void*) {
  if (inside(this_caller)) {
    this_caller->address = number == SIGSEGV || number == SIGBUS ? told->si_addr : nullptr;
    siglongjmp(this_caller->landing, number);
  }
  // Not a controller's: the handler before this one gets the signal when it is raised once more.
  sigaction(number, &before[number], nullptr);
  if (number == SIGABRT) raise(number);
}

void on_hang(int, siginfo_t*, void*) {
  if (!inside(this_caller)) return;
  if (this_caller->ended_by_watcher.load() != this_caller->calls.load()) return;
  siglongjmp(this_caller->landing, kHangSignal);
}

void watch() {
  for (;;) {
    std::this_thread::sleep_for(kWatchEvery);
    const std::lock_guard lock(callers().mutex);
    for (Caller* caller : callers().all) {
      const std::uint64_t call = caller->calls.load();
      const std::int64_t now_ns = cpu_ns(caller->cpu_clock);
      if (call % 2 == 0 || call != caller->seen_call) {
        caller->seen_call = call;
        caller->seen_cpu_ns = now_ns;
        caller->looks = 0;
        continue;
      }
      if (++caller->looks < kMostLooks && now_ns - caller->seen_cpu_ns < kMostCallCpuNs) continue;
      caller->ended_by_watcher.store(call);
      pthread_kill(caller->thread, kHangSignal);
    }
  }
}

void install() {
  struct sigaction action{};
  sigemptyset(&action.sa_mask);
  // The jump leaves the handler without returning, so the signal must not stay blocked.
  action.sa_flags = SA_SIGINFO | SA_NODEFER | SA_ONSTACK;
  action.sa_sigaction = on_call_crash;
  for (const int number : kCrashSignals) sigaction(number, &action, &before[number]);
  action.sa_sigaction = on_hang;
  sigaction(kHangSignal, &action, &before[kHangSignal]);
  // The watcher takes no signals: interrupts are for the threads that work.
  sigset_t all, kept;
  sigfillset(&all);
  pthread_sigmask(SIG_SETMASK, &all, &kept);
  std::thread(watch).detach();
  pthread_sigmask(SIG_SETMASK, &kept, nullptr);
}

/// A thread's own entry, and a stack for its signals: a call that used up the stack leaves none.
class Enrolled {
 public:
  Enrolled() {
    static std::once_flag installed;
    std::call_once(installed, install);
    pthread_getcpuclockid(caller_.thread, &caller_.cpu_clock);
    stack_t there{};
    if (sigaltstack(nullptr, &there) == 0 && (there.ss_flags & SS_DISABLE) != 0) {
      signal_stack_ = std::make_unique<char[]>(kGuardStackBytes);
      const stack_t wanted{signal_stack_.get(), 0, kGuardStackBytes};
      sigaltstack(&wanted, nullptr);
    }
    const std::lock_guard lock(callers().mutex);
    callers().all.push_back(&caller_);
    this_caller = &caller_;
  }
  ~Enrolled() {
    this_caller = nullptr;
    {
      const std::lock_guard lock(callers().mutex);
      std::erase(callers().all, &caller_);
    }
    if (signal_stack_ == nullptr) return;
    stack_t none{};
    none.ss_flags = SS_DISABLE;
    sigaltstack(&none, nullptr);
  }
  Enrolled(const Enrolled&) = delete;
  Enrolled& operator=(const Enrolled&) = delete;

 private:
  Caller caller_;
  std::unique_ptr<char[]> signal_stack_;
};

/// The signal that ended the body, or 0. Apart from guarded_call so that no local of it lives
/// across the jump.
[[gnu::noinline]] int landed(Caller& caller, void (*body)(void*), void* context) {
  const int number = sigsetjmp(caller.landing, 0);
  if (number == 0) {
    caller.calls.fetch_add(1, std::memory_order_relaxed);
    std::atomic_signal_fence(std::memory_order_seq_cst);
    try {
      body(context);
    } catch (...) {
      caller.threw = exception_words();
    }
    std::atomic_signal_fence(std::memory_order_seq_cst);
  }
  caller.calls.fetch_add(1, std::memory_order_relaxed);
  return number;
}

}  // namespace

CallEnd guarded_call(void (*body)(void*), void* context) {
  static thread_local const Enrolled enrolled;
  FloatState floats;
  const int number = landed(*this_caller, body, context);
  const FloatChange change = floats.restore();
  if (number == kHangSignal) return {CallFault::kHang, number};
  if (number != 0) return {CallFault::kCrash, number, this_caller->address};
  if (!this_caller->threw.empty())
    return {CallFault::kThrew, 0, nullptr, std::exchange(this_caller->threw, {})};
  if (change == FloatChange::kMode) return {CallFault::kFloatMode};
  if (change == FloatChange::kInvalid) return {CallFault::kInvalidOperation};
  return {};
}

std::string exception_words() {
  const std::type_info* type = abi::__cxa_current_exception_type();
  if (type == nullptr) return "of a foreign language";
  int status = 0;
  char* plain = abi::__cxa_demangle(type->name(), nullptr, nullptr, &status);
  std::string words = plain == nullptr ? type->name() : plain;
  std::free(plain);
  try {
    throw;
  } catch (const std::exception& error) {
    words += fmt::format(": {}", error.what());
  } catch (...) {
  }
  return words;
}

std::string fault_words(const CallEnd& end) {
  switch (end.fault) {
    case CallFault::kNone: break;
    case CallFault::kHang: return "does not return: more than 1 s in one call";
    case CallFault::kThrew: return fmt::format("threw a C++ exception ({})", end.detail);
    case CallFault::kFloatMode: return "left the floating-point mode changed";
    case CallFault::kInvalidOperation:
      return "invalid floating-point operation: a not-a-number came up";
    case CallFault::kCrash:
      switch (end.signal) {
        case SIGSEGV:
        case SIGBUS: return "crashed (bad address)";
        case SIGFPE: return "crashed (division by zero or the like)";
        case SIGILL: return "crashed (illegal instruction)";
        default: return "crashed (it gave up by abort)";
      }
  }
  return {};
}

}  // namespace sim::bench
