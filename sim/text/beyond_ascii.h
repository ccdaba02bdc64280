// Whether TOML has a character beyond ASCII where none may stand: outside of comments and of text
// in quotes. toml++ 3.3 asks of such a character whether it is white space by a function that
// reaches __builtin_unreachable() for most of them (U+00D8, U+FECD, ...), so it must not see them.
//
// Also behind a backslash within text of several lines, and behind the line's end that it takes
// out, where toml++ skips white space by the same function.
//
// Input    any bytes; text whose quotes do not close counts as text up to its end
// Cost     linear
// Source   TOML 1.0.0, sections Comment, Keys and String (a bare key holds A-Z a-z 0-9 - _)
// Checked  tests/sim/text/beyond_ascii_test.cc
#pragma once

#include <string_view>

namespace sim::text {

/// The line (from 1) of the first such character; 0: there is none.
int line_beyond_ascii(std::string_view toml);

}  // namespace sim::text
