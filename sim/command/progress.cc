#include "sim/command/progress.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cmath>
#include <cstdio>

#include "sim/command/machine_pace.h"

namespace sim::command {
namespace {

constexpr double kTerminalEvery_s = 0.2;
constexpr double kPlainEvery_s = 10.0;
/// Less than this done says nothing of the rest: cells and passes count once they have ended.
constexpr double kKnownFrom_ratio = 0.02;

double seconds_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
}

}  // namespace

double left_s(const ExpectedWork& work, double spent_s, double done_ratio, double found_ratio) {
  const double here_ratio = done_ratio - found_ratio;
  if (here_ratio >= kKnownFrom_ratio) return spent_s * (1.0 - done_ratio) / here_ratio;
  const double expected_s = work.wall_s * (1.0 - found_ratio) - spent_s;
  return expected_s > 0.0 ? expected_s : std::nan("");
}

Progress::Progress(std::string what, const ExpectedWork& work, bool quiet)
    : what_(std::move(what)),
      work_(work),
      quiet_(quiet),
      terminal_(isatty(STDERR_FILENO) != 0),
      start_(std::chrono::steady_clock::now()),
      last_(start_) {}

Progress::~Progress() {
  if (shown_ && terminal_) std::fputs("\r\x1b[K", stderr);
}

void Progress::at(double done_ratio, double found_ratio) {
  if (quiet_ || seconds_since(last_) < (terminal_ ? kTerminalEvery_s : kPlainEvery_s)) return;
  last_ = std::chrono::steady_clock::now();
  const double spent_s = seconds_since(start_);
  const double rest_s = left_s(work_, spent_s, done_ratio, found_ratio);
  const std::string pace = work_.row_s > 0.0 && done_ratio > found_ratio
                               ? fmt::format("{:.0f} row-seconds simulated per second, ",
                                             work_.row_s * (done_ratio - found_ratio) / spent_s)
                               : "";
  const std::string line = fmt::format(
      "{}: {:.0f} % done, {}{}", what_, done_ratio * 100.0, pace,
      std::isnan(rest_s) ? "time left not known yet" : duration_words(rest_s) + " left");
  std::fputs(terminal_ ? ("\r\x1b[K" + line).c_str() : (line + "\n").c_str(), stderr);
  std::fflush(stderr);
  shown_ = true;
}

}  // namespace sim::command
