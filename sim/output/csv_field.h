// A text as one field of a CSV table: quoted where it holds a comma, a quote or a line's end (RFC
// 4180).
//
// Errors   none
// Checked  tests/sim/output/csv_field_test.cc
#pragma once

#include <string>

namespace sim::output {

inline std::string csv_field(const std::string& text) {
  if (text.find_first_of(",\"\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += c;
    quoted += c;
  }
  return quoted + "\"";
}

}  // namespace sim::output
