// Another program, run and watched by a test: its arguments, its environment, what it wrote, and
// how it ended.
//
// The child's standard streams go to files of a folder of the test's own, so that no pipe can fill
// up and stall it.
// Errors   a program that cannot be started ends with code 127, as a shell would say
// Checked  tests/sim/command/command_test.cc
#pragma once

#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <chrono>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <thread>
#include <utility>
#include <vector>

namespace support {

/// A folder under the system's temporary one that goes away with its owner.
class ScratchFolder {
 public:
  ScratchFolder() {
    std::string name = (std::filesystem::temp_directory_path() / "sillion_XXXXXX").string();
    path_ = mkdtemp(name.data());
  }
  ~ScratchFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

inline std::string text_of(const std::filesystem::path& file) {
  std::ifstream in(file, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), std::istreambuf_iterator<char>()};
}

struct Ended {
  int code = -1;  // as a shell gives it: 128 + signal for a program that a signal ended
  std::string out;
  std::string err;
};

using Environment = std::vector<std::pair<std::string, std::string>>;

class Program {
 public:
  explicit Program(const std::vector<std::string>& command, const Environment& environment = {},
                   const std::filesystem::path& from = SILLION_SOURCE_DIR) {
    std::vector<char*> words;
    for (const std::string& word : command) words.push_back(const_cast<char*>(word.c_str()));
    words.push_back(nullptr);
    const std::string out = (streams_.path() / "out").string();
    const std::string err = (streams_.path() / "err").string();
    child_ = fork();
    if (child_ == 0) {
      setpgid(0, 0);
      prctl(PR_SET_PDEATHSIG, SIGKILL);  // a test that is stopped leaves nothing running
      redirect("/dev/null", O_RDONLY, STDIN_FILENO);
      redirect(out.c_str(), O_WRONLY | O_CREAT | O_TRUNC, STDOUT_FILENO);
      redirect(err.c_str(), O_WRONLY | O_CREAT | O_TRUNC, STDERR_FILENO);
      for (const auto& [name, value] : environment) setenv(name.c_str(), value.c_str(), 1);
      if (chdir(from.c_str()) != 0) _exit(127);
      execvp(words[0], words.data());
      _exit(127);
    }
  }
  ~Program() {
    if (running()) {
      kill(-child_, SIGKILL);
      waitpid(child_, nullptr, 0);
    }
  }
  Program(const Program&) = delete;
  Program& operator=(const Program&) = delete;

  bool running() {
    if (!ended_) ended_ = waitpid(child_, &status_, WNOHANG) == child_;
    return !ended_;
  }
  void send(int signal_number) { kill(child_, signal_number); }
  std::string out_so_far() const { return text_of(streams_.path() / "out"); }
  std::string err_so_far() const { return text_of(streams_.path() / "err"); }

  Ended wait() {
    if (!ended_) waitpid(child_, &status_, 0);
    ended_ = true;
    const int code = WIFSIGNALED(status_) ? 128 + WTERMSIG(status_) : WEXITSTATUS(status_);
    return {code, text_of(streams_.path() / "out"), text_of(streams_.path() / "err")};
  }
  /// False when the program is still running after the limit.
  bool ends_within(std::chrono::milliseconds limit) {
    const auto until = std::chrono::steady_clock::now() + limit;
    while (running()) {
      if (std::chrono::steady_clock::now() > until) return false;
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
    }
    return true;
  }

 private:
  static void redirect(const char* file, int flags, int stream) {
    const int opened = open(file, flags, 0644);
    if (opened < 0 || dup2(opened, stream) < 0) _exit(127);
    close(opened);
  }

  ScratchFolder streams_;
  pid_t child_ = -1;
  bool ended_ = false;
  int status_ = 0;
};

inline Ended run_program(const std::vector<std::string>& command,
                         const Environment& environment = {}) {
  return Program(command, environment).wait();
}

inline std::string sillion_path() { return std::string(SILLION_BINARY_DIR) + "/sillion"; }

/// The built program with these arguments, from the repository's top.
inline Ended sillion(std::vector<std::string> arguments, const Environment& environment = {}) {
  arguments.insert(arguments.begin(), sillion_path());
  return run_program(arguments, environment);
}

}  // namespace support
