#include "sim/study/map/table_lines.h"

#include <algorithm>
#include <cerrno>
#include <charconv>
#include <cstring>
#include <utility>

#include "sim/statistics/none.h"
#include "sim/text/csv_cells.h"
#include "sim/text/input_error.h"
#include "sim/text/nearest.h"

namespace sim::map {
namespace {

constexpr std::size_t kBufferBytes = 1 << 20;

void split(std::string_view line, std::vector<std::string_view>& cells) {
  cells.clear();
  while (true) {
    const std::size_t comma = line.find(',');
    cells.push_back(line.substr(0, comma));
    if (comma == std::string_view::npos) return;
    line.remove_prefix(comma + 1);
  }
}

}  // namespace

TableLines::TableLines(std::filesystem::path file, const std::vector<std::string>& columns)
    : file_(std::move(file)), columns_(columns), buffer_(kBufferBytes) {
  handle_ = std::fopen(file_.c_str(), "rb");
  if (handle_ == nullptr)
    throw text::InputError(file_.string() + ": cannot read: " + std::strerror(errno));
  try {
    if (!read_line()) throw text::InputError(file_.string() + ": is empty");
    split(line_, cells_);
    width_ = cells_.size();
    const std::vector<std::string> names(cells_.begin(), cells_.end());
    for (const std::string& column : columns_) {
      const auto found = std::find(names.begin(), names.end(), column);
      if (found == names.end()) {
        const std::string nearest = text::nearest_name(column, names);
        throw text::InputError(file_.string() + ":1: " + column + ": this column is missing" +
                               (nearest.empty() ? "" : "; nearest name there: `" + nearest + "`"));
      }
      places_.push_back(static_cast<std::size_t>(found - names.begin()));
    }
  } catch (...) {
    std::fclose(handle_);
    throw;
  }
}

TableLines::~TableLines() { std::fclose(handle_); }

bool TableLines::read_line() {
  while (true) {
    const char* start = buffer_.data() + from_;
    const void* end = std::memchr(start, '\n', until_ - from_);
    if (end != nullptr) {
      const auto length = static_cast<std::size_t>(static_cast<const char*>(end) - start);
      line_ = {start, length};
      from_ += length + 1;
      ++number_;
      return true;
    }
    std::memmove(buffer_.data(), start, until_ - from_);
    until_ -= from_;
    from_ = 0;
    if (until_ == buffer_.size())
      throw text::InputError(file_.string() + ":" + std::to_string(number_ + 1) +
                             ": a line of more than a megabyte: this is no table of `run`");
    const std::size_t read =
        std::fread(buffer_.data() + until_, 1, buffer_.size() - until_, handle_);
    until_ += read;
    if (read > 0) continue;
    if (std::ferror(handle_) != 0)
      throw text::InputError(file_.string() + ": cannot read: " + std::strerror(errno));
    if (until_ == 0) return false;
    throw text::InputError(file_.string() + ":" + std::to_string(number_ + 1) +
                           ": the last line has no end: the file was cut off");
  }
}

bool TableLines::next() {
  if (!read_line()) return false;
  split(line_, cells_);
  if (cells_.size() != width_)
    throw text::InputError(file_.string() + ":" + std::to_string(number_) + ": has " +
                           std::to_string(cells_.size()) + " cells where the head has " +
                           std::to_string(width_));
  return true;
}

double TableLines::number_si(std::size_t column) const {
  const std::string_view cell = text(column);
  if (cell.empty()) return statistics::kNone_ratio;
  double value_si = 0.0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value_si);
  if (error != std::errc{} || end != cell.data() + cell.size())
    fail(column, "is no number: " + text::shown_cell(cell));
  return value_si;
}

long long TableLines::whole(std::size_t column) const {
  const std::string_view cell = text(column);
  long long value = 0;
  const auto [end, error] = std::from_chars(cell.data(), cell.data() + cell.size(), value);
  if (error != std::errc{} || end != cell.data() + cell.size() || value < 0)
    fail(column, "is no number from 0: " + text::shown_cell(cell));
  return value;
}

void TableLines::fail(std::size_t column, const std::string& what) const {
  throw text::InputError(file_.string() + ":" + std::to_string(number_) + ": " + columns_[column] +
                         ": " + what);
}

}  // namespace sim::map
