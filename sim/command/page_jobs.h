// Long work that starts from the page: each job is this program run once more, as a process of its
// own with a folder of its own below the page's out folder. It goes on when the tab is closed, and
// ends with the page's process.
//
//   OUT/jobs/N/          input files that the page wrote, log.txt (what the command printed),
//   OUT/jobs/N/result/   what the command wrote
//
// Errors   InputError: too many jobs at a time, no such job; OutputError: the folder cannot be
//          written
// Checked  tests/sim/command/page_jobs_test.cc
#pragma once

#include <sys/types.h>

#include <filesystem>
#include <mutex>
#include <string>
#include <vector>

#include "sim/output/write_folder.h"

namespace sim::command {

/// At a time; each of them uses all cores.
inline constexpr int kMostJobs = 2;

struct PageJob {
  int number = 0;
  std::string kind;     // "sweep"
  std::string command;  // as it can be typed
  pid_t process = -1;
  bool running = false;
  bool stopped = false;            // from the page
  int code = -1;                   // its exit code, once it has ended
  std::string last;                // the last line that it printed
  std::vector<std::string> files;  // names of its results that a browser can show
};

class PageJobs {
 public:
  /// `program`: the file to run.
  PageJobs(std::filesystem::path out, std::filesystem::path program);
  ~PageJobs();  // ends what still runs
  PageJobs(const PageJobs&) = delete;
  PageJobs& operator=(const PageJobs&) = delete;

  /// A new folder for the inputs of a job, which `start` takes.
  std::filesystem::path new_folder();
  /// `words`: the command with its options, without the program and without --out.
  int start(const std::filesystem::path& folder, const std::string& kind,
            std::vector<std::string> words);
  void stop(int number);
  std::vector<PageJob> list();
  /// The folder of what a job wrote. Errors: InputError where it has not ended.
  std::filesystem::path result_of(int number);
  /// Bytes of one of the files that `list` names.
  std::string file(int number, const std::string& name);

 private:
  struct Kept {
    PageJob shown;
    std::filesystem::path folder;
  };
  void look(Kept& job);
  Kept& job_of(int number);

  std::filesystem::path out_, program_;
  std::mutex mutex_;
  std::vector<Kept> jobs_;
  int last_number_ = 0;
};

}  // namespace sim::command
