#include "sim/bench/worker_process.h"

#include <fcntl.h>
#include <signal.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/syscall.h>
#include <ucontext.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cstdio>
#include <span>
#include <string>

#include "sim/bench/controller_instance.h"
#include "sim/bench/float_state.h"
#include "sim/bench/futex_turn.h"
#include "sim/bench/guarded_call.h"
#include "sim/bench/worker_confinement.h"
#include "sim/scenario/loader.h"

namespace sim {
namespace {

constexpr int kFaultCode = 70;  // of a worker that said what was wrong
constexpr std::size_t kSignalStackBytes = 64 * 1024;
constexpr timespec kSleepAtMost{0, 200'000'000};

/// What a signal handler has to know; one worker, one pass.
struct Worker {
  WorkerExchange exchange;
  ControllerLibrary library;
  std::array<ControllerInstance, kMostLanes> lanes;
  GuardedMemory input{sizeof(sillion_input)};
  GuardedMemory output{sizeof(sillion_output)};
  std::array<sillion_output, kMostLanes> outputs{};  // as they were answered
  Look look;
};
Worker* worker = nullptr;

/// Writes down what was wrong and ends the process. Safe in a signal handler but for `text`.
[[noreturn]] void end_with(WorkerFault fault, int code, std::uint64_t argument,
                           const char* text = "") {
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

void catch_signals() {
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

/// Only what the controller prints is left open.
void close_everything(int printed) {
  const int nothing = open("/dev/null", O_RDONLY | O_CLOEXEC);
  dup2(nothing, STDIN_FILENO);
  dup2(printed, STDOUT_FILENO);
  dup2(printed, STDERR_FILENO);
  if (syscall(SYS_close_range, 3u, ~0u, 0u) != 0)
    for (int file = 3; file < 1024; ++file) close(file);
  setvbuf(stdout, nullptr, _IOLBF, BUFSIZ);
}

void check_floats(const FloatState& floats) {
  switch (floats.restore()) {
    case FloatChange::kNone: return;
    case FloatChange::kMode: end_with(WorkerFault::kFloatMode, 0, 0);
    case FloatChange::kInvalid: end_with(WorkerFault::kInvalid, 0, 0);
  }
}

/// One call of the controller, whatever leaves it.
template <typename Body>
void call_controller(int lane, const Body& body) {
  WorkerAnswered& said = worker->exchange.answered();
  said.lane = lane;
  const FloatState floats;
  try {
    body();
  } catch (...) {
    end_with(WorkerFault::kThrew, 0, 0, exception_words().c_str());
  }
  check_floats(floats);
  const auto& block = worker->lanes[static_cast<std::size_t>(std::max(0, lane))].block;
  if (lane >= 0 && block != nullptr && !block->fences_whole()) end_with(WorkerFault::kBlock, 0, 0);
  said.lane = -1;
}

void load(const WorkerAsked& asked) {
  try {
    call_controller(-1, [&] {
      try {
        worker->library =
            asked.library[0] == '\0' ? reference_controller() : load_controller(asked.library);
      } catch (const InputError& error) {
        end_with(WorkerFault::kInput, 0, 0, error.what());
      }
    });
  } catch (...) {
    end_with(WorkerFault::kInput, 0, 0, "cannot load the controller");
  }
  confine_for_calls();
}

void describe(const WorkerAsked& asked, WorkerAnswered& said) {
  call_controller(-1, [&] {
    const sillion_hardware* found = worker->library.describe(asked.role);
    said.given = found != nullptr ? 1 : 0;
    if (found != nullptr) said.hardware = *found;
  });
}

void start(const WorkerAsked& asked, WorkerAnswered& said) {
  ControllerInstance& one = worker->lanes[static_cast<std::size_t>(asked.lane)];
  const auto retained = static_cast<Retained>(asked.retained);
  ready_block(one, asked.memory_bytes, retained);
  const sillion_config config = asked.config;
  call_controller(asked.lane, [&] { call_init(worker->library, one, config, retained); });
  said.lane = asked.lane;
  if (const std::string fault = start_fault(one); !fault.empty())
    end_with(WorkerFault::kText, 0, 0, fault.c_str());
  said.lane = -1;
  said.given = one.controller != nullptr ? 1 : 0;
}

/// What the worker answers with once a controller has written over what is shared with the bench:
/// the lanes before it as they were, so that the fault is told of the right one.
[[noreturn]] void end_overwritten(std::uint32_t number, std::span<const std::int32_t> before) {
  WorkerAnswered& said = worker->exchange.answered();
  std::fill(std::begin(said.done), std::end(said.done), 0u);
  for (const std::int32_t lane : before) {
    said.outputs[lane] = worker->outputs[static_cast<std::size_t>(lane)];
    said.done[lane] = number;
  }
  end_with(WorkerFault::kText, 0, 0, "wrote over what it shares with the bench");
}

void step(const WorkerAsked& asked, WorkerAnswered& said, std::uint32_t number) {
  auto* input = reinterpret_cast<sillion_input*>(worker->input.data());
  auto* output = reinterpret_cast<sillion_output*>(worker->output.data());
  // Read once: a controller may reach what is shared.
  std::array<std::int32_t, kMostLanes> lanes{};
  const std::size_t count = std::min<std::size_t>(asked.count, lanes.size());
  std::copy_n(asked.lanes, count, lanes.begin());
  for (std::size_t k = 0; k < count; ++k) {
    const auto lane = static_cast<std::size_t>(lanes[k]);
    // The controller may write into what it is handed.
    *input = asked.inputs[lane];
    *output = {};
    sillion_controller* controller = worker->lanes[lane].controller;
    call_controller(static_cast<int>(lane),
                    [&] { worker->library.step(controller, input, output); });
    if (!worker->input.fences_whole() || !worker->output.fences_whole())
      end_with(WorkerFault::kBlock, 0, 0);
    if (!worker->exchange.fences_whole()) end_overwritten(number, {lanes.data(), k});
    worker->outputs[lane] = *output;
    said.outputs[lane] = *output;
    said.done[lane] = number;
  }
}

/// The next question, once it has been asked.
std::uint32_t next_question(std::uint32_t answered) {
  const WorkerAsked& asked = worker->exchange.asked();
  WorkerAnswered& said = worker->exchange.answered();
  while (!worker->look.changed(asked.number, answered)) {
    said.sleeps.store(1);
    if (asked.number.load() == answered) futex_sleep(asked.number, answered, &kSleepAtMost);
    said.sleeps.store(0);
  }
  return asked.number.load(std::memory_order_acquire);
}

}  // namespace

void run_worker(const WorkerExchange& exchange, int printed) {
  prctl(PR_SET_NAME, "controllers");
  prctl(PR_SET_PDEATHSIG, SIGKILL);
  setpgid(0, 0);
  static Worker only;
  worker = &only;
  only.exchange = exchange;
  catch_signals();
  close_everything(printed);
  mprotect(&exchange.asked(), WorkerExchange::kAnsweredAt, PROT_READ);
  munmap(&exchange.watched(), WorkerExchange::kBytes - WorkerExchange::kWatchedAt);
  WorkerAnswered& said = exchange.answered();
  said.fence_before = said.fence_after = kExchangeFence;
  said.lane = -1;
  said.confined = confine_for_loading();
  for (std::uint32_t number = 0;;) {
    number = next_question(number);
    const WorkerAsked& asked = exchange.asked();
    switch (static_cast<WorkerTask>(asked.task)) {
      case WorkerTask::kLoad: load(asked); break;
      case WorkerTask::kDescribe: describe(asked, said); break;
      case WorkerTask::kStart: start(asked, said); break;
      case WorkerTask::kStep: step(asked, said, number); break;
      case WorkerTask::kEnd: std::fflush(stdout); break;
    }
    said.number.store(number);
    if (asked.sleeps.load() != 0) futex_wake(said.number);
  }
}

}  // namespace sim
