// A text that grows while it is made and is kept on disk, not in memory.
//
//   The file has no name once it is open, so that nothing stays behind, also if the process is
//   killed.
//
// Errors   OutputError if no file can be made there, or the disk is full
// Checked  tests/sim/output/spilled_text_test.cc
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <string_view>

namespace sim::output {

class SpilledText {
 public:
  /// In the folder, or in the nearest one above it that exists.
  explicit SpilledText(const std::filesystem::path& folder);
  SpilledText(SpilledText&& other) noexcept;
  SpilledText& operator=(SpilledText&&) = delete;
  ~SpilledText();

  void append(std::string_view text);
  /// Hands over the whole text from its beginning, in pieces.
  void read(const std::function<void(std::string_view)>& take);

 private:
  void flush();

  std::filesystem::path folder_;
  int file_ = -1;
  std::string waiting_;
};

}  // namespace sim::output
