// A table with a line per instant, read line by line.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>

#include "sim/study/score/capture_files.h"
#include "sim/study/score/pin_levels.h"
#include "sim/text/csv_cells.h"
#include "sim/text/input_error.h"

namespace sim::score {
namespace {

constexpr double kHigh_ratio = 0.5;  // a column of volts or of counts is 1 above half of 1

class Lines {
 public:
  explicit Lines(const std::filesystem::path& file) : name_(file.string()), file_(file) {
    if (!file_) throw text::InputError(name_ + ": cannot be read");
  }
  /// The next line that is no comment and not blank.
  bool next(std::string& line) {
    while (std::getline(file_, line)) {
      ++number_;
      if (const auto mistake = text::binary_mistake(line)) fail(*mistake);
      const std::string_view text = text::without_blanks(line);
      if (!text.empty() && !text.starts_with('#') && !text.starts_with(';')) return true;
    }
    return false;
  }
  [[noreturn]] void fail(const std::string& what) const {
    throw text::InputError(fmt::format("{}:{}: {}", name_, number_, what));
  }

 private:
  std::string name_;
  std::ifstream file_;
  int number_ = 0;
};

double number_in(const Lines& lines, std::string_view cell, const std::string& column) {
  const std::string_view text = text::without_blanks(cell);
  double value_si = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value_si);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value_si))
    lines.fail(fmt::format("{}: {} is no number", column, text::shown_cell(cell)));
  return value_si;
}

}  // namespace

Capture read_capture_csv(const std::filesystem::path& file, const CaptureWords& asked) {
  Lines lines(file);
  std::string line;
  if (!lines.next(line)) lines.fail("the table is empty");
  const char parting = line.find('\t') != std::string::npos  ? '\t'
                       : line.find(';') != std::string::npos ? ';'
                                                             : ',';
  std::vector<std::string> names;
  for (const std::string_view cell : text::cells_of(line, parting))
    names.emplace_back(text::without_blanks(cell));
  if (names.empty() || names.front() != "t_s")
    lines.fail("the first column has to be `t_s`, seconds, with the signals' names behind it");
  PinLevels levels(file.string(), {names.begin() + 1, names.end()}, asked);
  double first_s = 0.0;
  double now_s = 0.0;
  double shortest_s = HUGE_VAL;
  bool begun = false;
  while (lines.next(line)) {
    const std::vector<std::string_view> cells = text::cells_of(line, parting);
    if (cells.size() != names.size())
      lines.fail(fmt::format("{} cells, but {} columns", cells.size(), names.size()));
    const double at_s = number_in(lines, cells[0], names[0]);
    if (!begun) first_s = at_s;
    if (begun && at_s - first_s < now_s) lines.fail("time runs backwards");
    if (begun && at_s - first_s > now_s) shortest_s = std::min(shortest_s, at_s - first_s - now_s);
    begun = true;
    now_s = at_s - first_s;
    for (std::size_t k = 1; k < cells.size(); ++k)
      levels.level(k - 1, number_in(lines, cells[k], names[k]) > kHigh_ratio, now_s);
  }
  if (!begun) lines.fail("nothing is recorded");
  // Lines may stand for changes or for samples; two of them cannot be nearer than the resolution.
  return levels.finish(now_s, std::isfinite(shortest_s) ? shortest_s : 0.0, false);
}

}  // namespace sim::score
