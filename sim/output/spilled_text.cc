#include "sim/output/spilled_text.h"

#include <stdlib.h>
#include <unistd.h>

#include <array>
#include <cerrno>
#include <cstring>
#include <utility>

#include "sim/output/write_folder.h"

namespace sim::output {
namespace {

constexpr std::size_t kPiece_bytes = 64 * 1024;

std::filesystem::path nearest_folder(const std::filesystem::path& asked) {
  std::error_code error;
  std::filesystem::path folder = std::filesystem::absolute(asked);
  while (!std::filesystem::is_directory(folder, error) && folder != folder.parent_path())
    folder = folder.parent_path();
  return folder;
}

[[noreturn]] void fail_in(const std::filesystem::path& folder) {
  throw OutputError(folder.string() + ": cannot keep a table there: " + std::strerror(errno));
}

}  // namespace

SpilledText::SpilledText(const std::filesystem::path& folder) : folder_(nearest_folder(folder)) {
  std::string name = (folder_ / ".sillion-XXXXXX").string();
  file_ = mkstemp(name.data());
  if (file_ < 0) fail_in(folder_);
  unlink(name.c_str());
}

SpilledText::SpilledText(SpilledText&& other) noexcept
    : folder_(std::move(other.folder_)),
      file_(std::exchange(other.file_, -1)),
      waiting_(std::move(other.waiting_)) {}

SpilledText::~SpilledText() {
  if (file_ >= 0) close(file_);
}

void SpilledText::append(std::string_view text) {
  waiting_ += text;
  if (waiting_.size() >= kPiece_bytes) flush();
}

void SpilledText::flush() {
  if (lseek(file_, 0, SEEK_END) < 0) fail_in(folder_);
  for (std::size_t done = 0; done < waiting_.size();) {
    const ssize_t wrote = write(file_, waiting_.data() + done, waiting_.size() - done);
    if (wrote < 0 && errno == EINTR) continue;
    if (wrote <= 0) fail_in(folder_);
    done += static_cast<std::size_t>(wrote);
  }
  waiting_.clear();
}

void SpilledText::read(const std::function<void(std::string_view)>& take) {
  flush();
  std::array<char, kPiece_bytes> piece{};
  off_t at = 0;
  while (true) {
    const ssize_t got = pread(file_, piece.data(), piece.size(), at);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) fail_in(folder_);
    if (got == 0) return;
    take({piece.data(), static_cast<std::size_t>(got)});
    at += got;
  }
}

}  // namespace sim::output
