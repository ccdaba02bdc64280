#include "sim/output/streamed_folder.h"

#include <unistd.h>

#include <cerrno>
#include <cstring>
#include <system_error>
#include <utility>
#include <vector>

#include "sim/output/while_writing.h"
#include "sim/output/write_folder.h"

namespace sim::output {
namespace fs = std::filesystem;
namespace {

void check(const std::error_code& error, const fs::path& path) {
  if (error) throw OutputError(path.string() + ": cannot write: " + error.message());
}

}  // namespace

StreamedFolder::StreamedFolder(const fs::path& out) {
  target_ = fs::absolute(out).lexically_normal();
  if (target_.filename().empty()) target_ = target_.parent_path();  // a trailing slash
  if (target_.filename().empty())
    throw OutputError(out.string() + ": cannot write: not a folder for results");
  std::error_code error;
  if (fs::exists(target_, error) && !fs::is_directory(target_, error))
    throw OutputError(target_.string() + ": cannot write: a file of that name is in the way");
  partial_ = target_.parent_path() / ("." + target_.filename().string() + ".partial");
  fs::remove_all(partial_, error);
  check(error, partial_);
  fs::create_directories(partial_, error);
  check(error, partial_);
}

StreamedFolder::~StreamedFolder() {
  std::error_code ignored;
  fs::remove_all(partial_, ignored);
}

fs::path StreamedFolder::path_of(const fs::path& name) const {
  const fs::path file = partial_ / name;
  std::error_code error;
  fs::create_directories(file.parent_path(), error);
  check(error, file.parent_path());
  return file;
}

void StreamedFolder::finish() {
  const auto writing = while_writing();
  std::error_code error;
  if (!fs::exists(target_, error)) {
    fs::rename(partial_, target_, error);
    check(error, target_);
    return;
  }
  std::vector<fs::path> names;
  for (const auto& entry : fs::recursive_directory_iterator(partial_))
    if (entry.is_regular_file()) names.push_back(entry.path().lexically_relative(partial_));
  for (const fs::path& name : names)
    if (fs::is_directory(target_ / name, error))
      throw OutputError((target_ / name).string() +
                        ": cannot write: a folder of that name is in the way");
  for (const fs::path& name : names) {
    fs::create_directories((target_ / name).parent_path(), error);
    check(error, target_ / name);
    fs::rename(partial_ / name, target_ / name, error);
    check(error, target_ / name);
  }
}

StreamedFile::StreamedFile(fs::path file) : file_(std::move(file)) {
  handle_ = std::fopen(file_.c_str(), "wb");
  if (handle_ == nullptr) fail(errno);
}

StreamedFile::~StreamedFile() {
  if (handle_ != nullptr) std::fclose(handle_);
}

void StreamedFile::put(std::string_view bytes) {
  if (std::fwrite(bytes.data(), 1, bytes.size(), handle_) != bytes.size()) fail(errno);
}

void StreamedFile::close() {
  // A file system that allocates space late reports a full disk only here.
  if (std::fflush(handle_) != 0 || fsync(fileno(handle_)) != 0) fail(errno);
  std::FILE* handle = std::exchange(handle_, nullptr);
  if (std::fclose(handle) != 0) fail(errno);
}

void StreamedFile::fail(int reason) const {
  throw OutputError(file_.string() + ": cannot write: " + std::strerror(reason));
}

}  // namespace sim::output
