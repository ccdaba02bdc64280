// A small table that a person typed: a header of names with units, then lines of numbers.
//
//   speed [km/h], delay [ms], offset [mm], uncertainty [mm]     columns in any order
//   16, 92.5, -4, 1.5                                           # starts a comment
//   Units stand in brackets, or behind the last underscore or blank of a name. The separator is
//   the comma, semicolon or tab that the header uses. Numbers have a decimal point.
//
// Out      SI, in the order of `columns`; not-a-number for a column that the file does not have
// Errors   InputError "file:line: key: what": unknown, missing or doubled column (with the nearest
//          name), no unit or a wrong one, a cell too many or too few (a decimal comma makes one too
//          many), a cell that is no number, a fraction where a whole number is required, a value
//          out of range, control characters, no lines below the header
// Checked  tests/sim/text/csv_table_test.cc
#pragma once

#include <filesystem>
#include <span>
#include <string>
#include <vector>

#include "sim/text/quantity.h"

namespace sim::text {

struct CsvColumn {
  std::string name;
  Kind kind = Kind::kRatio;  // kRatio: a whole number without unit, such as a row
  bool required = true;
  bool may_be_empty = false;  // a cell without text is not-a-number
  double least_si = 0.0;
  double most_si = 0.0;
  bool above_least = false;  // least_si itself is out of range
};

struct CsvLine {
  int line = 0;
  std::vector<double> values_si;
};

std::vector<CsvLine> read_csv(const std::filesystem::path& file,
                              std::span<const CsvColumn> columns);

}  // namespace sim::text
