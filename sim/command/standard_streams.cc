#include "sim/command/standard_streams.h"

#include <fcntl.h>
#include <spdlog/spdlog.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <cstdio>
#include <cstring>
#include <iostream>

#include "sim/command/exit_code.h"

namespace sim::command {

void open_standard_streams() {
  std::signal(SIGPIPE, SIG_IGN);
  for (const int stream : {STDIN_FILENO, STDOUT_FILENO, STDERR_FILENO}) {
    if (fcntl(stream, F_GETFD) >= 0) continue;
    // The lowest free descriptor is the one that is missing.
    const int opened = open("/dev/null", stream == STDERR_FILENO ? O_WRONLY : O_RDONLY);
    if (opened >= 0 && opened != stream) close(opened);
  }
}

int code_with_output(int code) {
  errno = 0;
  std::cout.flush();
  const bool flushed = std::fflush(stdout) == 0;
  const int reason = errno;
  if (flushed && std::ferror(stdout) == 0 && std::cout.good()) return code;
  spdlog::error("standard output: cannot write{}{}; what was printed is not complete",
                reason == 0 ? "" : ": ", reason == 0 ? "" : std::strerror(reason));
  return code == kDifferentBytes || code == kBenchFailed || code == kInterrupted ||
                 code == kTerminated
             ? code
             : kBadInput;
}

}  // namespace sim::command
