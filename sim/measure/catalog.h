// Every metric that a requirement may name: a plain list, seen whole. `list metrics` prints it.
//
// Checked  tests/sim/summary_test.cc
#pragma once

#include <span>
#include <string_view>

#include "sim/measure/summary.h"

namespace sim {

struct Metric {
  std::string_view name;
  std::string_view unit;     // SI word: "ratio", "m", "m3", "m3/m2", "1"
  std::string_view meaning;  // one sentence with the denominator
  double (*read)(const Summary&);
};

std::span<const Metric> metrics();
const Metric* find_metric(std::string_view name);

}  // namespace sim
