#include "sim/command/page_jobs.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <signal.h>
#include <sys/prctl.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>

#include "sim/text/document.h"
#include "sim/text/input_error.h"
#include "sim/text/shell_word.h"

namespace sim::command {
namespace {

namespace fs = std::filesystem;

constexpr std::size_t kMostShown_bytes = 32 * 1024 * 1024;
constexpr std::string_view kShownEndings[] = {".html", ".json", ".csv", ".toml", ".md", ".txt"};

bool can_be_shown(const std::string& name) {
  return std::any_of(std::begin(kShownEndings), std::end(kShownEndings),
                     [&](std::string_view ending) { return name.ends_with(ending); });
}

/// The last line of a log: of a file that grows, its last 4 kB.
std::string last_line(const fs::path& log) {
  const int file = open(log.c_str(), O_RDONLY | O_CLOEXEC);
  if (file < 0) return {};
  std::string end(4096, '\0');
  const off_t size = lseek(file, 0, SEEK_END);
  const ssize_t read = pread(file, end.data(), end.size(),
                             std::max<off_t>(0, size - static_cast<off_t>(end.size())));
  close(file);
  end.resize(static_cast<std::size_t>(std::max<ssize_t>(0, read)));
  while (!end.empty() && end.back() == '\n') end.pop_back();
  return end.substr(end.find_last_of('\n') + 1);  // npos + 1 is 0
}

/// Only calls that are safe in the child of a process with threads.
pid_t start_process(const std::vector<std::string>& words, const fs::path& log) {
  std::vector<char*> arguments;
  for (const std::string& word : words) arguments.push_back(const_cast<char*>(word.c_str()));
  arguments.push_back(nullptr);
  const pid_t parent = getpid();
  const pid_t child = fork();
  if (child != 0) return child;
  setpgid(0, 0);  // Ctrl-C at the terminal is for the page, which ends its jobs itself
  prctl(PR_SET_PDEATHSIG, SIGTERM);
  if (getppid() != parent) _exit(127);
  const int nothing = open("/dev/null", O_RDONLY | O_CLOEXEC);
  const int file = open(log.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
  if (nothing < 0 || file < 0 || dup2(nothing, STDIN_FILENO) < 0 || dup2(file, STDOUT_FILENO) < 0 ||
      dup2(file, STDERR_FILENO) < 0)
    _exit(127);
  for (int other = STDERR_FILENO + 1; other < 1024; ++other) close(other);
  execv(arguments[0], arguments.data());
  _exit(127);
}

}  // namespace

PageJobs::PageJobs(fs::path out, fs::path program)
    : out_(std::move(out)), program_(std::move(program)) {}

PageJobs::~PageJobs() {
  for (Kept& job : jobs_) look(job);
  for (const Kept& job : jobs_)
    if (job.shown.running) kill(job.shown.process, SIGTERM);
  for (const Kept& job : jobs_)
    if (job.shown.running) waitpid(job.shown.process, nullptr, 0);
}

fs::path PageJobs::new_folder() {
  const std::lock_guard lock(mutex_);
  fs::path folder;
  do {
    folder = out_ / "jobs" / std::to_string(++last_number_);
  } while (fs::exists(folder));
  return folder;
}

int PageJobs::start(const fs::path& folder, const std::string& kind,
                    std::vector<std::string> words) {
  const std::lock_guard lock(mutex_);
  int running = 0;
  for (Kept& job : jobs_) {
    look(job);
    running += job.shown.running ? 1 : 0;
  }
  if (running >= kMostJobs)
    throw text::InputError(
        fmt::format("{} jobs are at work already; wait for one, or stop one", running));
  words.insert(words.end(), {"--out", (folder / "result").string()});
  std::string command = "sillion";
  for (const std::string& word : words) command += " " + text::shell_word(word);
  output::write_whole_file(folder / "command.txt", command + "\n");
  words.insert(words.begin(), program_.string());
  const pid_t process = start_process(words, folder / "log.txt");
  if (process < 0) throw output::OutputError("the job's process could not be started");
  const int number = std::stoi(folder.filename().string());
  jobs_.push_back(
      {{.number = number, .kind = kind, .command = command, .process = process, .running = true},
       folder});
  return number;
}

void PageJobs::look(Kept& job) {
  if (!job.shown.running) return;
  job.shown.last = last_line(job.folder / "log.txt");
  int status = 0;
  if (waitpid(job.shown.process, &status, WNOHANG) != job.shown.process) return;
  job.shown.running = false;
  job.shown.code = WIFSIGNALED(status) ? 128 + WTERMSIG(status) : WEXITSTATUS(status);
  job.shown.last = last_line(job.folder / "log.txt");
  std::error_code none;
  for (const auto& entry : fs::directory_iterator(job.folder / "result", none))
    if (entry.is_regular_file(none) && can_be_shown(entry.path().filename().string()))
      job.shown.files.push_back(entry.path().filename().string());
  std::sort(job.shown.files.begin(), job.shown.files.end());
}

PageJobs::Kept& PageJobs::job_of(int number) {
  for (Kept& job : jobs_)
    if (job.shown.number == number) return job;
  throw text::InputError(fmt::format("there is no job {}", number));
}

void PageJobs::stop(int number) {
  const std::lock_guard lock(mutex_);
  Kept& job = job_of(number);
  look(job);
  if (!job.shown.running) return;
  job.shown.stopped = true;
  kill(job.shown.process, SIGTERM);
}

std::vector<PageJob> PageJobs::list() {
  const std::lock_guard lock(mutex_);
  std::vector<PageJob> shown;
  for (Kept& job : jobs_) {
    look(job);
    shown.push_back(job.shown);
  }
  return shown;
}

fs::path PageJobs::result_of(int number) {
  const std::lock_guard lock(mutex_);
  Kept& job = job_of(number);
  look(job);
  if (job.shown.running) throw text::InputError(fmt::format("job {} is still at work", number));
  return job.folder / "result";
}

std::string PageJobs::file(int number, const std::string& name) {
  const std::lock_guard lock(mutex_);
  Kept& job = job_of(number);
  look(job);
  if (std::find(job.shown.files.begin(), job.shown.files.end(), name) == job.shown.files.end())
    throw text::InputError(fmt::format("job {} has no file {}", number, name));
  return text::read_text(job.folder / "result" / name, kMostShown_bytes);
}

}  // namespace sim::command
