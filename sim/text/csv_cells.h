// The parts of a line of a table, for every table that people hand in: cells between separators,
// names with their units in a head cell, and characters that no text file holds.
//
//   head cell   `speed [km/h]`, `speed (km/h)`, `speed_mph`, `speed mph`: the unit stands in
//               brackets or behind the last underscore or blank
//
// Errors   none: the caller that reads a table reports what is wrong with it
// Checked  tests/sim/text/csv_table_test.cc, tests/sim/study/valve/trace/valve_trace_test.cc
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace sim::text {

/// The text without blanks and quotes at both ends.
std::string_view without_blanks(std::string_view text);
/// The cells of a line. Text between quotes is one cell, whatever characters are in it.
std::vector<std::string_view> cells_of(std::string_view line, char parting);

struct HeadCell {
  std::string name;
  std::string unit;
};
HeadCell head_cell(std::string_view text);

/// "binary file: ..." if the line holds a control character, else nothing.
std::optional<std::string> binary_mistake(std::string_view line);

/// A wrong cell as an error message shows it: quoted, and cut to kMostShown letters.
std::string shown_cell(std::string_view cell);

inline constexpr std::size_t kMostShown = 40;  // letters of a wrong cell in its message

}  // namespace sim::text
