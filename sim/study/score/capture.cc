#include "sim/study/score/capture.h"

#include <fmt/format.h>

#include <array>
#include <fstream>
#include <string_view>

#include "sim/study/score/capture_files.h"
#include "sim/text/input_error.h"

namespace sim::score {

// A ZIP archive begins with PK; a dump with a keyword; all else is read as a table.
Capture read_capture(const std::filesystem::path& file, const CaptureWords& words) {
  std::ifstream opened(file, std::ios::binary);
  if (!opened) throw text::InputError(file.string() + ": cannot be read");
  std::array<char, 512> begin{};
  opened.read(begin.data(), begin.size());
  const std::string_view text(begin.data(), static_cast<std::size_t>(opened.gcount()));
  if (text.starts_with("PK")) return read_session(file, words);
  const std::size_t word = text.find_first_not_of(" \t\r\n");
  if (word != std::string_view::npos && text[word] == '$') return read_vcd(file, words);
  return read_capture_csv(file, words);
}

}  // namespace sim::score
