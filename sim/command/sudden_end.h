// Ctrl-C and kill end every command within a second, wherever it is.
//
//   A signal asks: whatever passes over seeds looks at `asked` and ends in order. What does not
//   look (reading, tuning, writing a report) is ended here after a moment's patience: never while
//   a result is being written, and the locks on folders of results go away.
//
// Errors   none
// Checked  tests/sim/command/sudden_end_test.cc
#pragma once

#include <atomic>
#include <condition_variable>
#include <mutex>
#include <string>
#include <thread>

namespace sim::command {

class SuddenEnd {
 public:
  /// `again`: the command that starts it again, for what is told at the end.
  explicit SuddenEnd(std::string again);
  ~SuddenEnd();
  SuddenEnd(const SuddenEnd&) = delete;
  SuddenEnd& operator=(const SuddenEnd&) = delete;

  static const std::atomic<bool>& asked();
  /// 130 or 143, by the signal.
  static int code();
  /// Tells that the command was interrupted and how it is started again.
  static void tell(const std::string& again);

 private:
  void watch();

  std::string again_;
  std::mutex mutex_;
  std::condition_variable ended_changed_;
  bool ended_ = false;
  std::thread thread_;
};

}  // namespace sim::command
