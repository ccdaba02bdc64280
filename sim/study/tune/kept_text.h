// A tuned table and the trims of a strip test as text, exact to the bit, and their reading.
//
//   Each value is on a line of its own, "name value". A real number is written as its 64 bits in 16
//   hexadecimal digits, so that infinity and not-a-number are preserved; a whole number in decimal;
//   the controller's table as its 32-bit words in order.
//
// Errors   none: a text that is not exactly of this form is read as nothing
// Checked  tests/sim/study/tune/kept_text_test.cc
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/study/tune/tune.h"

namespace sim::tune {

std::string table_text(const TunedTable& tuned);
std::optional<TunedTable> table_of_text(std::string_view text);

/// Trims of all rows by index, micrometres.
std::string trims_text(const std::vector<int>& trims_um);
/// Nothing unless the text holds exactly `rows` trims.
std::optional<std::vector<int>> trims_of_text(std::string_view text, std::size_t rows);

/// The 32-bit words of a controller's table, for use in a text of inputs.
std::string words_of(const sillion_attachment_table& table);

}  // namespace sim::tune
