// Numbers as text, the same bytes in every locale and on every machine.
//
// Checked  tests/sim/tables_test.cc
#pragma once

#include <string>

namespace sim {

/// Shortest text that reads back to the same double; empty for not-a-number and infinities.
std::string shortest_text(double value);  // tidy: any unit, the caller names it
/// With so many decimals, halves to even of the exact binary value; a minus sign never stands before zero.
std::string fixed_text(double value, int decimals);  // tidy: any unit, the caller names it

}  // namespace sim
