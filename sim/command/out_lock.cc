#include "sim/command/out_lock.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <chrono>
#include <climits>
#include <cstring>
#include <fstream>
#include <iterator>
#include <mutex>
#include <system_error>
#include <thread>

#include "sim/output/write_folder.h"
#include "sim/study/run/tables.h"

namespace sim::command {
namespace fs = std::filesystem;
namespace {

/// The holder writes its name right after it has locked: so long at most it may be unnamed.
constexpr auto kNameComes = std::chrono::milliseconds(10);
constexpr int kWaitsForName = 20;
/// More than other commands can take the file away at a time.
constexpr int kMostTries = 100;

std::mutex held_mutex;
std::vector<OutLock*> held;  // of this process

[[noreturn]] void refuse(const fs::path& path, int reason) {
  throw output::OutputError(path.string() + ": cannot write: " + std::strerror(reason));
}

/// Process id and command, as the holder has written them.
std::string holder_of(const fs::path& file) {
  for (int wait = 0; wait < kWaitsForName; ++wait) {
    std::ifstream in(file, std::ios::binary);
    const std::string text{std::istreambuf_iterator<char>(in), {}};
    const std::size_t end = text.find('\n');
    if (end != std::string::npos && text.ends_with('\n') && end + 1 < text.size())
      return fmt::format("process {} ({})", text.substr(0, end),
                         text.substr(end + 1, text.size() - end - 2));
    std::this_thread::sleep_for(kNameComes);
  }
  return "another process";
}

/// The lock belongs to this process alone, whatever it forks, and ends with it.
bool lock_whole(int descriptor) {
  struct flock whole{};
  whole.l_type = F_WRLCK;
  whole.l_whence = SEEK_SET;
  return fcntl(descriptor, F_SETLK, &whole) == 0;
}

/// False where the file was taken away between its opening and its lock.
bool still_stands(int descriptor, const fs::path& file) {
  struct stat opened{};
  struct stat named{};
  return fstat(descriptor, &opened) == 0 && stat(file.c_str(), &named) == 0 &&
         opened.st_ino == named.st_ino && opened.st_dev == named.st_dev;
}

}  // namespace

OutLock::OutLock(const fs::path& out, const std::string& command) : owner_(getpid()) {
  std::error_code error;
  // Two ways to write one folder are one folder.
  folder_ = fs::weakly_canonical(fs::absolute(out), error).lexically_normal();
  if (error) throw output::OutputError(out.string() + ": cannot write: " + error.message());
  if (folder_.filename().empty()) folder_ = folder_.parent_path();
  if (folder_.filename().empty())
    throw output::OutputError(out.string() + ": cannot write: not a folder for results");
  // Results are moved into place from .NAME.partial beside the folder.
  constexpr std::size_t kBeside = std::string_view("..partial").size();
  constexpr std::size_t kInside = 64;  // the longest path of a result inside the folder
  if (folder_.filename().string().size() + kBeside > NAME_MAX ||
      folder_.string().size() + kBeside + kInside > PATH_MAX)
    refuse(out, ENAMETOOLONG);
  if (fs::exists(folder_, error) && !fs::is_directory(folder_, error))
    throw output::OutputError(out.string() + ": cannot write: a file of that name is in the way");
  if (fs::is_directory(folder_, error) && access(folder_.c_str(), W_OK | X_OK) != 0)
    refuse(out, errno);
  file_ = folder_.parent_path() / ("." + folder_.filename().string() + ".lock");
  try {
    for (int tries = 1; !take(command); ++tries)
      if (tries == kMostTries) refuse(out, ENOENT);  // as below /proc, where nobody makes a file
  } catch (const output::OutputError&) {
    remove_made();
    throw;
  }
  const std::lock_guard lock(held_mutex);
  held.push_back(this);
}

/// Only folders made here, and any that holds something stays.
void OutLock::remove_made() {
  std::error_code ignored;
  for (auto made = made_.rbegin(); made != made_.rend(); ++made) fs::remove(*made, ignored);
}

void OutLock::make_parents() {
  std::vector<fs::path> missing;
  std::error_code error;
  for (fs::path at = folder_.parent_path(); !fs::exists(at, error); at = at.parent_path()) {
    missing.push_back(at);
    if (at == at.parent_path()) break;
  }
  for (auto next = missing.rbegin(); next != missing.rend(); ++next) {
    const bool made = fs::create_directory(*next, error);
    if (error) throw output::OutputError(next->string() + ": cannot write: " + error.message());
    if (made) made_.push_back(*next);
  }
}

/// False where another command took the file or its folder away meanwhile: once more then.
bool OutLock::take(const std::string& command) {
  make_parents();
  descriptor_ = open(file_.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644);
  if (descriptor_ < 0) {
    if (errno == ENOENT) return false;
    refuse(folder_, errno);
  }
  if (!lock_whole(descriptor_)) {
    const int reason = errno;
    close(descriptor_);
    descriptor_ = -1;
    if (reason != EACCES && reason != EAGAIN) refuse(file_, reason);
    throw output::OutputError(
        fmt::format("{}: {} is at work there; let it end, or state another folder with --out",
                    folder_.string(), holder_of(file_)));
  }
  if (!still_stands(descriptor_, file_)) {
    close(descriptor_);
    descriptor_ = -1;
    return false;
  }
  const std::string name = fmt::format("{}\n{}\n", getpid(), command);
  if (ftruncate(descriptor_, 0) != 0 ||
      pwrite(descriptor_, name.data(), name.size(), 0) != static_cast<ssize_t>(name.size())) {
    const int reason = errno == 0 ? ENOSPC : errno;
    unlink(file_.c_str());
    close(descriptor_);
    descriptor_ = -1;
    refuse(file_, reason);
  }
  return true;
}

void OutLock::drop() {
  // A process that was forked from this one does not hold the lock.
  if (descriptor_ < 0 || owner_ != getpid()) return;
  // Taken away while it is locked: whoever opened it before finds that it no longer stands.
  unlink(file_.c_str());
  close(descriptor_);
  descriptor_ = -1;
  remove_made();
}

OutLock::~OutLock() {
  const std::lock_guard lock(held_mutex);
  std::erase(held, this);
  drop();
}

void drop_out_locks() {
  const std::lock_guard lock(held_mutex);
  for (OutLock* one : held) one->drop();
  held.clear();
}

}  // namespace sim::command
