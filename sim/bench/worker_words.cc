#include "sim/bench/worker_words.h"

#include <fmt/format.h>
#include <signal.h>
#include <string.h>
#include <sys/wait.h>

#include "sim/bench/worker_confinement.h"

namespace sim::bench {
namespace {

const char* signal_name(int number) {
  const char* name = sigabbrev_np(number);
  return name == nullptr ? "of another number" : name;
}

std::string crash_words(int number) {
  switch (number) {
    case SIGSEGV:
    case SIGBUS: return "crashed (bad address)";
    case SIGFPE: return "crashed (division by zero or the like)";
    case SIGILL: return "crashed (illegal instruction)";
    default: return fmt::format("crashed (signal {})", number);
  }
}

std::string system_call_fault(int number) {
  const char* words = system_call_words(number);
  return words != nullptr
             ? fmt::format("asked the operating system for {}", words)
             : fmt::format("asked the operating system for what no firmware has (system call {})",
                           number);
}

/// Words for a worker that could not say anything any more.
std::string end_words(int status) {
  if (status == -1) return "could not be given a process";
  if (WIFEXITED(status))
    return fmt::format("ended its process with exit code {}", WEXITSTATUS(status));
  if (WIFSTOPPED(status))
    return fmt::format("stopped itself by SIG{}", signal_name(WSTOPSIG(status)));
  const int number = WTERMSIG(status);
  switch (number) {
    case SIGABRT: return "gave up by abort";
    case SIGSEGV:
    case SIGBUS:
    case SIGFPE:
    case SIGILL: return crash_words(number);
    case SIGSYS:
      return "asked the operating system for what no firmware has, with its signals blocked";
    default: return fmt::format("ended by signal SIG{} that it raised", signal_name(number));
  }
}

}  // namespace

std::string worker_fault_words(const WorkerAnswered& said, const WorkerWatched& watched) {
  const std::string text(said.text, strnlen(said.text, sizeof said.text));
  switch (static_cast<WorkerFault>(said.fault)) {
    case WorkerFault::kNone: break;
    case WorkerFault::kCrash: return crash_words(said.code);
    case WorkerFault::kStack: return "used up its stack";
    case WorkerFault::kBlock: return "wrote outside its memory block";
    case WorkerFault::kThrew: return fmt::format("threw a C++ exception ({})", text);
    case WorkerFault::kFloatMode: return "left the floating-point mode changed";
    case WorkerFault::kInvalid: return "invalid floating-point operation: a not-a-number came up";
    case WorkerFault::kSystemCall: return system_call_fault(said.code);
    case WorkerFault::kInput:
    case WorkerFault::kText:
    case WorkerFault::kPort: return text;
  }
  return end_words(watched.status);
}

}  // namespace sim::bench
