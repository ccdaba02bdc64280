// JSON as text: two spaces of indent, keys in the order given, numbers in their shortest form,
// not-a-number as null.
// (The library's own writer turns a not-a-number into null without a word and its digits are not
// always the shortest.)
//
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace sim::output {

/// A number, or null when the figure does not exist (not-a-number) or has no end.
nlohmann::ordered_json number_or_null(double value_si);
std::string json_text(const nlohmann::ordered_json& value);

}  // namespace sim::output
