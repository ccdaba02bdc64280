// One command at a time on one folder of results.
//
//   .NAME.lock beside the folder holds the process id and command of whoever writes into it; the
//   kernel's lock on that file ends with the process, so a killed command blocks nobody. It stands
//   beside the folder, not in it: a folder of results is moved into place whole, and holds results
//   alone. The file goes away with the lock.
//
// Errors   OutputError: another command is at work there (named), a file is in the way of the
//          folder, or nothing can be written there; all before anything has run
// Checked  tests/sim/command/out_lock_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace sim::command {

class OutLock {
 public:
  /// `command`: as whoever comes second is told.
  OutLock(const std::filesystem::path& out, const std::string& command);
  ~OutLock();
  OutLock(const OutLock&) = delete;
  OutLock& operator=(const OutLock&) = delete;

 private:
  friend void drop_out_locks();
  void drop();
  void make_parents();
  void remove_made();
  bool take(const std::string& command);

  std::filesystem::path folder_;
  std::filesystem::path file_;
  std::vector<std::filesystem::path> made_;  // folders made here, the outermost first
  int descriptor_ = -1;
  int owner_ = -1;  // process id
};

/// Takes away every lock of this process: for whoever ends the program without leaving its scopes.
void drop_out_locks();

}  // namespace sim::command
