// What a person at a terminal sees of long work: a line at least every 2 s, also while the work
// itself says nothing.
#include "sim/command/progress.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <pty.h>
#include <unistd.h>

#include <chrono>
#include <cstdio>
#include <string>
#include <thread>
#include <utility>

namespace {

using testing::HasSubstr;

/// Standard error is a terminal while one of these lives.
class TerminalAsStandardError {
 public:
  TerminalAsStandardError() {
    std::fflush(stderr);
    before_ = dup(STDERR_FILENO);
    opened_ = openpty(&ours_, &terminal_, nullptr, nullptr, nullptr) == 0 &&
              dup2(terminal_, STDERR_FILENO) == STDERR_FILENO;
  }
  ~TerminalAsStandardError() {
    leave();
    close(ours_);
  }
  TerminalAsStandardError(const TerminalAsStandardError&) = delete;
  TerminalAsStandardError& operator=(const TerminalAsStandardError&) = delete;

  bool opened() const { return opened_; }
  /// All that was shown, and the end of it. What is written to a terminal reaches its other side
  /// late and in pieces, but whole once nobody can write any more.
  std::string shown() {
    leave();
    std::string all;
    char piece[4096];
    for (ssize_t size; (size = read(ours_, piece, sizeof piece)) > 0;)
      all.append(piece, static_cast<std::size_t>(size));
    return all;
  }

 private:
  void leave() {
    if (before_ < 0) return;
    std::fflush(stderr);
    dup2(before_, STDERR_FILENO);
    for (int* const one : {&before_, &terminal_}) close(std::exchange(*one, -1));
  }

  int before_ = -1, ours_ = -1, terminal_ = -1;
  bool opened_ = false;
};

int times(const std::string& text, const std::string& what) {
  int count = 0;
  for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1))
    ++count;
  return count;
}

TEST(Progress, ATerminalIsToldEvery2SecondsWhileTheWorkSaysNothing) {
  TerminalAsStandardError terminal;
  if (!terminal.opened()) GTEST_SKIP() << "no terminal can be made here";
  {
    sim::command::Progress progress("long work", {.row_s = 100.0}, false);
    progress.at(0.25, 0.0, "strip test");
    std::this_thread::sleep_for(std::chrono::milliseconds(4100));
  }
  const std::string shown = terminal.shown();
  EXPECT_GE(times(shown, "long work, strip test: 25 % done"), 2) << shown;
  EXPECT_THAT(shown, HasSubstr("s left"));
  EXPECT_EQ(shown.substr(shown.size() - 4), "\r\x1b[K");  // the line is gone at the end
}

TEST(Progress, WorkThatTellsNoShareIsSaidToBeUnderWay) {
  TerminalAsStandardError terminal;
  if (!terminal.opened()) GTEST_SKIP() << "no terminal can be made here";
  {
    const sim::command::Progress progress("a valve", {}, false);
    std::this_thread::sleep_for(std::chrono::milliseconds(1200));
  }
  EXPECT_THAT(terminal.shown(), HasSubstr("a valve: at work for "));
}

TEST(Progress, QuietSaysNothing) {
  testing::internal::CaptureStderr();
  {
    sim::command::Progress progress("long work", {}, true);
    progress.at(0.5);
    std::this_thread::sleep_for(std::chrono::milliseconds(1200));
  }
  EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
}

}  // namespace
