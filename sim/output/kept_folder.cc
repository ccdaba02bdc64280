#include "sim/output/kept_folder.h"

#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <cstdio>
#include <fstream>
#include <iterator>
#include <string_view>
#include <system_error>
#include <utility>
#include <vector>

#include "sim/output/hash.h"

namespace sim::output {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t kMostInMemory = 1000;
constexpr std::size_t kDigitsOfName = 32;
constexpr std::string_view kEnding = ".kept";
constexpr std::string_view kUnfinished = ".unfinished";
/// An unfinished file of this age was left by a killed process; none is written for so long.
constexpr std::chrono::hours kLeftBehind{1};

std::string file_text(const std::string& kind, const std::string& sum, const std::string& found) {
  const std::string lines = "sillion kept 1: " + kind +
                            ", found before and kept to save time; this file may be deleted\nof " +
                            sum + "\n" + found;
  return lines + "sum " + sha256_hex(lines) + "\n";
}

/// The lines between head and sum, if the whole text is as file_text writes it.
std::optional<std::string> found_in(std::string_view text, const std::string& kind,
                                    const std::string& sum) {
  const std::size_t head_end = text.find('\n');
  const std::size_t of_end =
      head_end == std::string_view::npos ? head_end : text.find('\n', head_end + 1);
  const std::size_t sum_at = text.rfind("\nsum ");
  if (of_end == std::string_view::npos || sum_at == std::string_view::npos || sum_at < of_end)
    return std::nullopt;
  std::string found(text.substr(of_end + 1, sum_at - of_end));
  if (text != file_text(kind, sum, found)) return std::nullopt;
  return found;
}

std::optional<std::string> text_of(const fs::path& file) {
  std::error_code error;
  if (!fs::is_regular_file(file, error)) return std::nullopt;
  std::ifstream in(file, std::ios::binary);
  std::string text{std::istreambuf_iterator<char>(in), {}};
  if (!in.good() && !in.eof()) return std::nullopt;
  return text;
}

/// A name beside `file` that no other process and no other thread writes to.
fs::path unfinished_name(const fs::path& file) {
  static std::atomic<unsigned> count{0};
  return file.string() + "." + std::to_string(getpid()) + "." + std::to_string(++count) +
         std::string(kUnfinished);
}

/// False if not every byte could be written; then no file is left.
bool put_whole(const fs::path& file, const std::string& text) {
  const fs::path unfinished = unfinished_name(file);
  std::FILE* handle = std::fopen(unfinished.c_str(), "wb");
  if (handle == nullptr) return false;
  const bool written = std::fwrite(text.data(), 1, text.size(), handle) == text.size();
  const bool closed = std::fclose(handle) == 0;
  std::error_code error;
  if (written && closed) fs::rename(unfinished, file, error);
  if (written && closed && !error) return true;
  fs::remove(unfinished, error);
  return false;
}

}  // namespace

KeptFolder::KeptFolder(fs::path folder, std::string program)
    : folder_(std::move(folder)), program_(std::move(program)) {}

std::string KeptFolder::sum_of(const std::string& kind, const std::string& inputs) const {
  return sha256_hex(kind + "\n" + program_ + "\n" + inputs);
}

fs::path KeptFolder::file_of(const std::string& kind, const std::string& inputs) const {
  return folder_ / (sum_of(kind, inputs).substr(0, kDigitsOfName) + std::string(kEnding));
}

std::optional<std::string> KeptFolder::find(const std::string& kind, const std::string& inputs) {
  const std::string sum = sum_of(kind, inputs);
  {
    const std::lock_guard lock(mutex_);
    if (const auto known = in_memory_.find(sum); known != in_memory_.end()) return known->second;
  }
  if (folder_.empty()) return std::nullopt;
  const std::optional<std::string> text = text_of(file_of(kind, inputs));
  if (!text) return std::nullopt;
  std::optional<std::string> found = found_in(*text, kind, sum);
  if (found) remember(sum, *found);
  return found;
}

void KeptFolder::keep(const std::string& kind, const std::string& inputs,
                      const std::string& found) {
  const std::string sum = sum_of(kind, inputs);
  remember(sum, found);
  if (folder_.empty()) return;
  std::error_code error;
  fs::create_directories(folder_, error);
  if (error) return;
  make_room();
  put_whole(file_of(kind, inputs), file_text(kind, sum, found));
}

void KeptFolder::remember(const std::string& sum, const std::string& found) {
  const std::lock_guard lock(mutex_);
  if (in_memory_.size() >= kMostInMemory) in_memory_.clear();
  in_memory_.insert_or_assign(sum, found);
}

// Runs once per command, before it writes its first finding.
void KeptFolder::make_room() {
  const std::lock_guard lock(mutex_);
  if (std::exchange(has_room_, true)) return;
  std::vector<std::pair<fs::file_time_type, fs::path>> kept;
  std::error_code error;
  const fs::file_time_type now = fs::file_time_type::clock::now();
  for (fs::directory_iterator at(folder_, error), end; !error && at != end; at.increment(error)) {
    const std::string name = at->path().filename().string();
    std::error_code gone;
    const fs::file_time_type written = at->last_write_time(gone);
    if (gone) continue;
    if (name.ends_with(kEnding)) kept.emplace_back(written, at->path());
    if (name.ends_with(kUnfinished) && now - written > kLeftBehind) fs::remove(at->path(), gone);
  }
  if (kept.size() < kMostKept) return;
  std::sort(kept.begin(), kept.end());
  kept.resize(kept.size() - kMostKept / 2);
  for (const auto& [written, file] : kept) fs::remove(file, error);
}

}  // namespace sim::output
