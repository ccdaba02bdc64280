#include "sim/output/write_folder.h"

#include <unistd.h>

#include <cerrno>
#include <cstdio>
#include <cstring>
#include <mutex>
#include <shared_mutex>
#include <string_view>
#include <system_error>
#include <vector>

#include "sim/output/spilled_text.h"
#include "sim/output/while_writing.h"

namespace sim::output {
namespace fs = std::filesystem;
namespace {

[[noreturn]] void fail(const fs::path& path, const std::string& reason) {
  throw OutputError(path.string() + ": cannot write: " + reason);
}

void check(const std::error_code& error, const fs::path& path) {
  if (error) fail(path, error.message());
}

// Removes unfinished files when it goes out of scope, unless `finish` was called.
class Scaffold {
 public:
  explicit Scaffold(fs::path partial) : partial_(std::move(partial)) {}
  Scaffold(const Scaffold&) = delete;
  Scaffold& operator=(const Scaffold&) = delete;
  ~Scaffold() {
    std::error_code ignored;
    fs::remove_all(partial_, ignored);
    // Only folders made here; fs::remove leaves any that is not empty.
    if (!finished_)
      for (auto made = made_.rbegin(); made != made_.rend(); ++made) fs::remove(*made, ignored);
  }

  void make_parents(const fs::path& folder) {
    std::vector<fs::path> missing;
    std::error_code error;
    for (fs::path at = folder; !at.empty() && !fs::exists(at, error); at = at.parent_path()) {
      missing.push_back(at);
      if (at == at.parent_path()) break;
    }
    for (auto next = missing.rbegin(); next != missing.rend(); ++next) {
      fs::create_directory(*next, error);
      check(error, *next);
      made_.push_back(*next);
    }
  }
  void finish() { finished_ = true; }

 private:
  fs::path partial_;
  std::vector<fs::path> made_;
  bool finished_ = false;
};

fs::path tidy_path(const fs::path& out) {
  fs::path clean = fs::absolute(out).lexically_normal();
  if (clean.filename().empty()) clean = clean.parent_path();  // a trailing slash
  if (clean.filename().empty()) fail(out, "not a folder for results");
  return clean;
}

/// Every writer holds it shared; the code that ends the program takes it exclusively.
std::shared_timed_mutex& at_work() {
  static std::shared_timed_mutex mutex;
  return mutex;
}

/// A file system that allocates space late reports a full disk only here; a device or a pipe has no
/// disk to wait for.
bool on_disk(std::FILE* handle) {
  return fsync(fileno(handle)) == 0 || errno == EINVAL || errno == EROFS || errno == ENOTSUP;
}

void put_file(const fs::path& file, const std::string& bytes,
              const std::vector<SpilledText*>& behind = {}) {
  std::FILE* handle = std::fopen(file.c_str(), "wb");
  if (handle == nullptr) fail(file, std::strerror(errno));
  errno = 0;
  const auto put = [handle](std::string_view piece) {
    return std::fwrite(piece.data(), 1, piece.size(), handle) == piece.size();
  };
  bool whole = put(bytes);
  for (SpilledText* text : behind)
    text->read([&](std::string_view piece) { whole = whole && put(piece); });
  const bool written = whole && std::fflush(handle) == 0 && on_disk(handle);
  const int reason = errno;
  // A full disk may show only when the file is closed.
  const bool closed = std::fclose(handle) == 0;
  if (!written || !closed) fail(file, std::strerror(written ? errno : reason));
}

}  // namespace

std::shared_lock<std::shared_timed_mutex> while_writing() { return std::shared_lock(at_work()); }

void write_file(const fs::path& file, const std::string& bytes) {
  const std::shared_lock writing(at_work());
  put_file(file, bytes);
}

bool hold_writes_for(std::chrono::milliseconds most) {
  return at_work().try_lock_for(most);  // held until the program ends
}

void write_whole_file(const fs::path& file, const std::string& bytes) {
  const std::shared_lock writing(at_work());
  std::error_code error;
  if (fs::is_directory(file, error)) fail(file, "a folder of that name is in the way");
  if (fs::exists(file, error) && !fs::is_regular_file(file, error)) {
    put_file(file, bytes);  // a device or a pipe must not be replaced by a file
    return;
  }
  Scaffold scaffold(file.string() + ".partial");
  if (!file.parent_path().empty()) scaffold.make_parents(fs::absolute(file).parent_path());
  put_file(file.string() + ".partial", bytes);
  fs::rename(file.string() + ".partial", file, error);
  check(error, file);
  scaffold.finish();
}

void write_folder(std::span<const ResultFile> files, const fs::path& out) {
  const std::shared_lock writing(at_work());
  const fs::path target = tidy_path(out);
  const fs::path partial = target.parent_path() / ("." + target.filename().string() + ".partial");
  std::error_code error;
  const bool exists = fs::exists(target, error);
  check(error, target);
  if (exists && !fs::is_directory(target)) fail(target, "a file of that name is in the way");
  for (const ResultFile& file : files)
    if (fs::is_directory(target / file.name))
      fail(target / file.name, "a folder of that name is in the way");

  Scaffold scaffold(partial);
  scaffold.make_parents(target.parent_path());
  fs::remove_all(partial, error);
  check(error, partial);
  fs::create_directory(partial, error);
  check(error, partial);
  for (const ResultFile& file : files) put_file(partial / file.name, file.bytes, file.behind);

  if (!exists) {
    fs::rename(partial, target, error);
    check(error, target);
  } else {
    for (const ResultFile& file : files) {
      fs::rename(partial / file.name, target / file.name, error);
      check(error, target / file.name);
    }
  }
  scaffold.finish();
}

}  // namespace sim::output
