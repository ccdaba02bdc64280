// Numbers as text, the same bytes in every locale and on every machine. The caller's column or key
// names the unit.
//
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <string>

namespace sim::output {

/// Shortest text that reads back as the same double; empty for not-a-number and infinities.
std::string number_text(double value_si);
/// With `decimals` decimals; an exact tie of the binary value goes to even; no minus sign on zero.
std::string fixed_text(double shown_si, int decimals);

}  // namespace sim::output
