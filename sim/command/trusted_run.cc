#include "sim/command/trusted_run.h"

#include <errno.h>
#include <fmt/format.h>
#include <signal.h>
#include <spdlog/spdlog.h>
#include <string.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <string>

#include "sim/command/exit_code.h"

namespace sim::command {
namespace {

constexpr char kComplete = 'c';
volatile sig_atomic_t child_process = 0;
volatile sig_atomic_t passed_on = 0;

/// The user's interrupt is for the command; the terminal sends it to both, a kill only to this one.
void pass_on(int number) {
  passed_on = 1;
  if (child_process > 0) kill(static_cast<pid_t>(child_process), number);
}

std::string end_words(int status) {
  if (WIFEXITED(status)) return fmt::format("by exit code {}", WEXITSTATUS(status));
  const char* name = sigabbrev_np(WTERMSIG(status));
  return fmt::format("by signal SIG{}", name == nullptr ? "?" : name);
}

}  // namespace

int run_trusted(const std::function<int()>& command) {
  int line[2] = {-1, -1};
  if (pipe(line) != 0) return command();
  std::fflush(nullptr);
  const pid_t child = fork();
  if (child < 0) return command();
  if (child == 0) {
    close(line[0]);
    prctl(PR_SET_PDEATHSIG, SIGKILL);
    const int code = command();
    std::fflush(nullptr);
    if (write(line[1], &kComplete, 1) != 1) _exit(kBenchFailed);
    _exit(code);
  }
  close(line[1]);
  child_process = child;
  for (const int number : {SIGINT, SIGTERM}) signal(number, pass_on);
  int status = 0;
  while (waitpid(child, &status, 0) < 0 && errno == EINTR) {
  }
  char said = 0;
  const bool complete = read(line[0], &said, 1) == 1 && said == kComplete;
  close(line[0]);
  if (complete && WIFEXITED(status)) return WEXITSTATUS(status);
  // The command ends itself at once where it is interrupted far from its end.
  const int code = WIFEXITED(status) ? WEXITSTATUS(status) : kHeld;
  if (passed_on != 0 && (code == kInterrupted || code == kTerminated)) return code;
  spdlog::error(
      "controller: it ended sillion {}; without --trust it runs in a process of its own, and row, "
      "instant and call are reported",
      end_words(status));
  return kControllerFailed;
}

}  // namespace sim::command
