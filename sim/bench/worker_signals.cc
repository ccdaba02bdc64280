// How a controller's crash, stack overflow or refused system call ends a worker: the fault is
// written down first.
#include <signal.h>
#include <sys/syscall.h>
#include <ucontext.h>
#include <unistd.h>

#include "sim/bench/worker_state.h"

namespace sim::bench {

Worker* worker = nullptr;

namespace {
constexpr int kFaultCode = 70;  // of a worker that said what was wrong
}

void end_with(WorkerFault fault, int code, std::uint64_t argument, const char* text) {
  WorkerAnswered& said = worker->exchange.answered();
  std::size_t k = 0;
  for (; text[k] != '\0' && k + 1 < sizeof said.text; ++k) said.text[k] = text[k];
  said.text[k] = '\0';
  said.code = code;
  said.argument = argument;
  said.fault = static_cast<std::uint32_t>(fault);
  syscall(SYS_exit_group, kFaultCode);
  __builtin_unreachable();
}

namespace {

constexpr std::size_t kSignalStackBytes = 64 * 1024;

std::uintptr_t stack_pointer(const void* context) {
  const auto* at = static_cast<const ucontext_t*>(context);
#if defined(__x86_64__)
  return static_cast<std::uintptr_t>(at->uc_mcontext.gregs[REG_RSP]);
#elif defined(__aarch64__)
  return static_cast<std::uintptr_t>(at->uc_mcontext.sp);
#else
  (void)at;
  return 0;
#endif
}

void on_crash(int number, siginfo_t* told, void* context) {
  if (number != SIGSEGV && number != SIGBUS) end_with(WorkerFault::kCrash, number, 0);
  const auto address = reinterpret_cast<std::uintptr_t>(told->si_addr);
  const int lane = worker->exchange.answered().lane;
  if (lane >= 0 && lane < kMostLanes) {
    const auto& block = worker->lanes[static_cast<std::size_t>(lane)].block;
    if (block != nullptr && block->beside(told->si_addr))
      end_with(WorkerFault::kBlock, number, address);
  }
  // A frame that no longer fits reaches below the stack's end, near where the stack points.
  constexpr std::uintptr_t kNear = 256 * 1024;
  const std::uintptr_t stack = stack_pointer(context);
  const bool at_stack = stack != 0 && address + kNear > stack && address < stack + kNear;
  end_with(at_stack ? WorkerFault::kStack : WorkerFault::kCrash, number, address);
}

void on_system_call(int, siginfo_t* told, void* context) {
  const auto* at = static_cast<const ucontext_t*>(context);
#if defined(__x86_64__)
  const auto argument = static_cast<std::uint64_t>(at->uc_mcontext.gregs[REG_RSI]);
#else
  (void)at;
  const std::uint64_t argument = 0;
#endif
  end_with(WorkerFault::kSystemCall, told->si_syscall, argument);
}

}  // namespace

void catch_worker_signals() {
  for (int number = 1; number < NSIG; ++number) signal(number, SIG_DFL);
  signal(SIGXFSZ, SIG_IGN);  // more was printed than is kept
  static unsigned char signal_stack[kSignalStackBytes];
  stack_t stack{};
  stack.ss_sp = signal_stack;
  stack.ss_size = sizeof signal_stack;
  sigaltstack(&stack, nullptr);
  struct sigaction action{};
  sigemptyset(&action.sa_mask);
  action.sa_flags = SA_SIGINFO | SA_NODEFER | SA_ONSTACK;
  action.sa_sigaction = on_crash;
  for (const int number : {SIGSEGV, SIGBUS, SIGFPE, SIGILL}) sigaction(number, &action, nullptr);
  action.sa_sigaction = on_system_call;
  sigaction(SIGSYS, &action, nullptr);
  sigset_t none;
  sigemptyset(&none);
  sigprocmask(SIG_SETMASK, &none, nullptr);
}

}  // namespace sim::bench
