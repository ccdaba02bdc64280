// A table with a line per instant, read line by line.
#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <fstream>
#include <utility>

#include "sim/study/score/capture_files.h"
#include "sim/study/score/pin_levels.h"
#include "sim/text/csv_cells.h"
#include "sim/text/input_error.h"

namespace sim::score {
namespace {

constexpr std::string_view kByteOrderMark = "\xEF\xBB\xBF";
// From here on two neighbouring numbers of 53 bits are 1.9 us apart.
constexpr double kLargest_s = 8'589'934'592.0;
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
      if (number_ == 1 && line.starts_with(kByteOrderMark)) line.erase(0, kByteOrderMark.size());
      bytes_ratio_ += static_cast<double>(line.size()) + 1.0;
      if (const auto mistake = text::binary_mistake(line)) fail(*mistake);
      const std::string_view text = text::without_blanks(line);
      if (!text.empty() && !text.starts_with('#') && !text.starts_with(';')) return true;
    }
    return false;
  }
  double read_bytes_ratio() const { return bytes_ratio_; }
  [[noreturn]] void fail(const std::string& what) const {
    throw text::InputError(fmt::format("{}:{}: {}", name_, number_, what));
  }

 private:
  std::string name_;
  std::ifstream file_;
  int number_ = 0;
  double bytes_ratio_ = 0.0;  // a count of bytes
};

double number_in(const Lines& lines, std::string_view cell, const std::string& column) {
  const std::string_view text = text::without_blanks(cell);
  double value_si = 0.0;
  const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value_si);
  if (error != std::errc() || end != text.data() + text.size() || !std::isfinite(value_si))
    lines.fail(fmt::format("{}: {} is no number{}", column, text::shown_cell(cell),
                           text.find(',') != std::string_view::npos
                               ? "; decimals stand behind a point, not behind a comma"
                               : ""));
  return value_si;
}

class CsvReader : public FileReader {
 public:
  CsvReader(const std::filesystem::path& file, const CaptureWords& asked)
      : FileReader(file), lines_(file) {
    if (!lines_.next(line_)) lines_.fail("the table is empty");
    parting_ = line_.find('\t') != std::string::npos  ? '\t'
               : line_.find(';') != std::string::npos ? ';'
                                                      : ',';
    for (const std::string_view cell : text::cells_of(line_, parting_))
      names_.emplace_back(text::without_blanks(cell));
    if (names_.empty() || names_.front() != "t_s")
      lines_.fail(
          fmt::format("the first column is {}, but it has to be `t_s`, seconds, with the "
                      "signals' names behind it",
                      text::shown_cell(names_.front())));
    std::vector<RecordedSignal> signals;
    for (std::size_t k = 1; k < names_.size(); ++k) signals.push_back({names_[k]});
    levels_.emplace(file.string(), signals, asked);
    if (!read_some()) lines_.fail("nothing is recorded");
  }

 protected:
  bool read_some() override {
    if (!lines_.next(line_)) return false;
    read_bytes_ratio_ = lines_.read_bytes_ratio();
    const std::vector<std::string_view> cells = text::cells_of(line_, parting_);
    if (cells.size() != names_.size())
      lines_.fail(fmt::format("{} cells, but {} columns", cells.size(), names_.size()));
    const double at_s = number_in(lines_, cells[0], names_[0]);
    if (std::abs(at_s) >= kLargest_s)
      lines_.fail(
          fmt::format("t_s: {} is so large that microseconds are lost; write seconds since "
                      "the recording's beginning",
                      text::shown_cell(cells[0])));
    if (!begun_) first_s_ = at_s;
    if (begun_ && at_s - first_s_ < now_s_)
      lines_.fail(
          fmt::format("t_s: time runs backwards from {:.9f} to {}", first_s_ + now_s_, cells[0]));
    if (const auto mistake = too_late(at_s - first_s_)) lines_.fail("t_s: " + *mistake);
    if (begun_ && at_s - first_s_ > now_s_)
      shortest_s_ = std::min(shortest_s_, at_s - first_s_ - now_s_);
    begun_ = true;
    now_s_ = at_s - first_s_;
    // Levels come first, whatever the columns' order: the sample of a current at a command's
    // instant belongs to its pulse. A line between two samples of a current has none.
    for (std::size_t k = 1; k < cells.size(); ++k)
      if (!levels_->is_current(k - 1))
        levels_->level(k - 1, number_in(lines_, cells[k], names_[k]) > kHigh_ratio, now_s_);
    for (std::size_t k = 1; k < cells.size(); ++k)
      if (levels_->is_current(k - 1) && !cells[k].empty())
        levels_->sample(k - 1, number_in(lines_, cells[k], names_[k]), now_s_);
    return true;
  }
  // Lines may stand for changes or for samples; two of them cannot be nearer than the resolution.
  double step_s() const override { return std::isfinite(shortest_s_) ? shortest_s_ : 0.0; }
  bool step_known() const override { return false; }

 private:
  Lines lines_;
  std::string line_;
  char parting_ = ',';
  std::vector<std::string> names_;
  double first_s_ = 0.0;
  double shortest_s_ = HUGE_VAL;
  bool begun_ = false;
};

}  // namespace

std::unique_ptr<CaptureReader> open_capture_csv(const std::filesystem::path& file,
                                                const CaptureWords& asked) {
  return std::make_unique<CsvReader>(file, asked);
}

}  // namespace sim::score
