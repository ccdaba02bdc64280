// The lines of a table that the program itself wrote, one at a time and with little memory: cells
// between commas, named by the head, numbers as std::from_chars reads them.
//
// Errors   InputError with file, line and column: the file cannot be read, a column is missing, a
//          line has too few or too many cells, a cell is no number
// Checked  tests/sim/study/map/kept_run_test.cc
#pragma once

#include <cstdio>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

namespace sim::map {

class TableLines {
 public:
  /// Opens the table and finds these columns in its head.
  TableLines(std::filesystem::path file, const std::vector<std::string>& columns);
  ~TableLines();
  TableLines(const TableLines&) = delete;
  TableLines& operator=(const TableLines&) = delete;

  /// Whether there is another line; its cells are then at hand.
  bool next();
  /// Cells in the order of the columns that were asked for.
  std::string_view text(std::size_t column) const { return cells_[places_[column]]; }
  double number_si(std::size_t column) const;  // an empty cell: not-a-number
  long long whole(std::size_t column) const;
  [[noreturn]] void fail(std::size_t column, const std::string& what) const;

 private:
  bool read_line();

  std::filesystem::path file_;
  std::vector<std::string> columns_;
  std::vector<std::size_t> places_;  // of the columns among the cells
  std::vector<std::string_view> cells_;
  std::size_t width_ = 0;
  std::FILE* handle_ = nullptr;
  std::vector<char> buffer_;
  std::size_t from_ = 0, until_ = 0;  // what of the buffer is not read yet
  std::string_view line_;
  long long number_ = 0;
};

}  // namespace sim::map
