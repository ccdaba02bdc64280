#include "sim/command/progress.h"

#include <fmt/format.h>
#include <unistd.h>

#include <cmath>
#include <cstdio>

#include "sim/command/machine_pace.h"

namespace sim::command {
namespace {

constexpr double kTerminalEvery_s = 0.5;
constexpr double kPlainEvery_s = 10.0;
/// Lines come a little early, so that a busy machine does not make the pause longer than it says.
constexpr double kEarly_s = 0.5;
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
      terminal_(isatty(STDERR_FILENO) != 0),
      start_(std::chrono::steady_clock::now()) {
  if (!quiet) teller_ = std::thread([this] { tell_until_over(); });
}

Progress::~Progress() {
  {
    const std::lock_guard lock(mutex_);
    over_ = true;
  }
  ended_.notify_all();
  if (teller_.joinable()) teller_.join();
  if (shown_ && terminal_) std::fputs("\r\x1b[K", stderr);
}

void Progress::at(double done_ratio, double found_ratio, std::string_view doing) {
  const std::lock_guard lock(mutex_);
  told_ = true;
  done_ratio_ = done_ratio;
  found_ratio_ = found_ratio;
  if (doing_ != doing) doing_ = doing;
}

void Progress::tell_until_over() {
  const std::chrono::duration<double> every(terminal_ ? kTerminalEvery_s
                                                      : kPlainEvery_s - kEarly_s);
  std::unique_lock lock(mutex_);
  while (!ended_.wait_for(lock, every, [this] { return over_; })) {
    std::fputs(terminal_ ? ("\r\x1b[K" + line()).c_str() : (line() + "\n").c_str(), stderr);
    std::fflush(stderr);
    shown_ = true;
  }
}

std::string Progress::line() const {
  const double spent_s = seconds_since(start_);
  if (!told_) return fmt::format("{}: at work for {}", what_, duration_words(spent_s));
  const double rest_s = left_s(work_, spent_s, done_ratio_, found_ratio_);
  const std::string pace = work_.row_s > 0.0 && done_ratio_ > found_ratio_
                               ? fmt::format("{:.0f} row-seconds simulated per second, ",
                                             work_.row_s * (done_ratio_ - found_ratio_) / spent_s)
                               : "";
  return fmt::format(
      "{}{}: {:.0f} % done, {}{}", what_, doing_.empty() ? "" : ", " + doing_, done_ratio_ * 100.0,
      pace, std::isnan(rest_s) ? "time left not known yet" : duration_words(rest_s) + " left");
}

}  // namespace sim::command
