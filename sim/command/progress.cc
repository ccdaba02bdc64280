#include "sim/command/progress.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cstdio>

namespace sim {
namespace {

constexpr double kTerminalEvery_s = 0.2;
constexpr double kPlainEvery_s = 10.0;

double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

}  // namespace

Progress::Progress(std::string what, double total_row_s, bool quiet)
    : what_(std::move(what)),
      total_row_s_(total_row_s),
      quiet_(quiet),
      terminal_(isatty(STDERR_FILENO) != 0),
      start_(std::chrono::steady_clock::now()),
      last_(start_) {}

Progress::~Progress() {
  if (shown_ && terminal_) std::fputs("\r\x1b[K", stderr);
}

void Progress::at(double done_ratio) {
  if (quiet_ || seconds_since(last_) < (terminal_ ? kTerminalEvery_s : kPlainEvery_s)) return;
  last_ = std::chrono::steady_clock::now();
  const double spent_s = seconds_since(start_);
  const double left_s = done_ratio > 0.0 ? spent_s * (1.0 - done_ratio) / done_ratio : 0.0;
  const std::string line =
      fmt::format("{}: {:.0f} % done, {:.0f} row-seconds simulated a second, {:.0f} s left", what_,
                  done_ratio * 100.0, total_row_s_ * done_ratio / spent_s, left_s);
  std::fputs(terminal_ ? ("\r\x1b[K" + line).c_str() : (line + "\n").c_str(), stderr);
  std::fflush(stderr);
  shown_ = true;
}

}  // namespace sim
