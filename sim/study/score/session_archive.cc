#include "sim/study/score/session_archive.h"

#include <fmt/format.h>

#include <algorithm>

#include "sim/text/input_error.h"

namespace sim::score {
namespace {

constexpr std::uint64_t kMostWholeBytes = 1 << 20;  // a file that is read as a whole is a short one

}  // namespace

SessionArchive::SessionArchive(const std::filesystem::path& file)
    : file_(file), zip_(nullptr, &zip_discard) {
  int error = 0;
  zip_.reset(zip_open(file.c_str(), ZIP_RDONLY, &error));
  if (!zip_) fail("no ZIP archive that can be read, so no session of sigrok");
}

void SessionArchive::fail(const std::string& what) const {
  throw text::InputError(fmt::format("{}: {}", file_.string(), what));
}

std::optional<std::uint64_t> SessionArchive::size_bytes(const std::string& name) const {
  zip_stat_t known{};
  if (zip_stat(zip_.get(), name.c_str(), 0, &known) != 0) return {};
  return known.size;
}

std::string SessionArchive::whole(const std::string& name) const {
  const std::optional<std::uint64_t> size = size_bytes(name);
  if (!size) fail(fmt::format("the archive has no `{}`: no session of sigrok", name));
  if (*size > kMostWholeBytes)
    fail(fmt::format("`{}` has {} bytes: no session of sigrok", name, *size));
  SessionStream stream(*this, name);
  std::string text(*size, '\0');
  std::vector<unsigned char> bytes(*size);
  text.resize(stream.read(bytes));
  std::copy_n(bytes.begin(), text.size(), text.begin());
  return text;
}

std::vector<std::string> SessionArchive::names(const std::string& begin) const {
  std::vector<std::string> found;
  const zip_int64_t count = zip_get_num_entries(zip_.get(), 0);
  for (zip_int64_t k = 0; k < count; ++k) {
    const char* name = zip_get_name(zip_.get(), static_cast<zip_uint64_t>(k), 0);
    if (name != nullptr && std::string_view(name).starts_with(begin)) found.emplace_back(name);
  }
  return found;
}

SessionStream::SessionStream(const SessionArchive& archive, const std::string& name)
    : archive_(&archive) {
  std::string part = name;
  for (int k = 1;; ++k) {
    if (const auto size = archive.size_bytes(part)) {
      parts_.push_back(part);
      size_bytes_ += *size;
    } else if (k > 1) {
      break;
    }
    part = fmt::format("{}-{}", name, k);
  }
}

std::size_t SessionStream::read(std::span<unsigned char> bytes) {
  std::size_t filled = 0;
  while (filled < bytes.size()) {
    if (!entry_) {
      if (next_ == parts_.size()) break;
      open_next();
    }
    const zip_int64_t got = zip_fread(entry_.get(), bytes.data() + filled, bytes.size() - filled);
    if (got < 0) archive_->fail(fmt::format("`{}` in the archive is damaged", parts_[next_ - 1]));
    if (got == 0) entry_.reset();
    filled += static_cast<std::size_t>(got);
  }
  return filled;
}

void SessionStream::open_next() {
  const std::string& name = parts_[next_++];
  entry_.reset(zip_fopen(archive_->zip_.get(), name.c_str(), 0));
  if (!entry_) archive_->fail(fmt::format("`{}` in the archive cannot be read", name));
  zip_stat_t known{};
  if (zip_stat(archive_->zip_.get(), name.c_str(), 0, &known) == 0)
    read_bytes_ratio_ += static_cast<double>(known.comp_size);
}

}  // namespace sim::score
