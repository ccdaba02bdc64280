// JSON as text: indented by two spaces, keys in the given order, numbers in their shortest form,
// not-a-number as null. (The library's own writer silently turns not-a-number into null, and its
// digits are not always the shortest.)
//
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

namespace sim::output {

/// A number, or null if the figure does not exist (not-a-number) or is infinite.
nlohmann::ordered_json number_or_null(double value_si);
std::string json_text(const nlohmann::ordered_json& value);

}  // namespace sim::output
