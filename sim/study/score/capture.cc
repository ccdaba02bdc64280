#include "sim/study/score/capture.h"

#include <fmt/format.h>

#include <array>
#include <cmath>
#include <fstream>
#include <string_view>
#include <utility>

#include "sim/study/score/capture_files.h"
#include "sim/text/input_error.h"

namespace sim::score {

FileReader::FileReader(const std::filesystem::path& file) {
  std::error_code error;
  const auto size = std::filesystem::file_size(file, error);
  if (!error) size_bytes_ratio_ = static_cast<double>(size);
}

bool FileReader::read_to(double until_s) {
  while (!ended_ && !(now_s_ > until_s)) {
    if (read_some()) continue;
    ended_ = true;
    levels_->finish(now_s_);
  }
  return !ended_;
}

Resolution FileReader::resolution() const {
  return {.step_s = step_s(), .known = step_known(), .current_step_s = levels_->current_step_s()};
}

double FileReader::done_ratio() const {
  return size_bytes_ratio_ > 0.0 ? std::min(1.0, read_bytes_ratio_ / size_bytes_ratio_) : 0.0;
}

// A recording that lasts longer has a wrong instant, and to play it would take hours.
std::optional<std::string> FileReader::too_late(double at_s) {
  constexpr double kWeek_s = 7.0 * 24.0 * 3600.0;
  if (at_s <= kWeek_s) return {};
  return fmt::format(
      "this instant is {:g} s behind the first one; a recording lasts at most {:g} s", at_s,
      kWeek_s);
}

// A ZIP archive begins with PK; a dump with a keyword; all else is read as a table.
std::unique_ptr<CaptureReader> open_capture(const std::filesystem::path& file,
                                            const CaptureWords& words) {
  if (std::filesystem::is_directory(file))
    throw text::InputError(file.string() + ": cannot be read: is a folder");
  std::ifstream opened(file, std::ios::binary);
  if (!opened)
    throw text::InputError(file.string() + ": cannot be read: no such file, or no permission");
  std::array<char, 512> begin{};
  opened.read(begin.data(), begin.size());
  const std::string_view text(begin.data(), static_cast<std::size_t>(opened.gcount()));
  if (text.empty()) throw text::InputError(file.string() + ": the file is empty");
  if (text.starts_with("PK")) return open_session(file, words);
  const std::size_t word = text.find_first_not_of(" \t\r\n");
  if (word != std::string_view::npos && text[word] == '$') return open_vcd(file, words);
  return open_capture_csv(file, words);
}

Capture read_capture(const std::filesystem::path& file, const CaptureWords& words) {
  const std::unique_ptr<CaptureReader> reader = open_capture(file, words);
  reader->read_to(HUGE_VAL);
  Capture capture;
  for (CapturedRow& row : reader->take()) {
    capture.rows.push_back({std::move(row.pins.edges), std::move(row.pins.drives)});
    capture.openings.push_back(std::move(row.openings));
  }
  const Resolution resolution = reader->resolution();
  capture.lasts_s = reader->known_s();
  capture.resolution_s = resolution.step_s;
  capture.resolution_known = resolution.known;
  capture.current_step_s = resolution.current_step_s;
  capture.doubts = reader->doubts();
  return capture;
}

}  // namespace sim::score
