// Every metric that a requirement may name, as one plain list. `list metrics` prints it;
// sim/measure/catalog reads the value of each from a summary.
//
// Checked  tests/sim/measure/summary_test.cc
#pragma once

#include <span>
#include <string_view>

namespace sim::scenario {

struct MetricName {
  std::string_view name;
  std::string_view unit;     // SI word: "ratio", "m", "m3", "m3/m2", "1"
  std::string_view meaning;  // one sentence with the denominator
};

std::span<const MetricName> metric_names();
/// Null if no metric has that name.
const MetricName* find_metric_name(std::string_view name);

}  // namespace sim::scenario
