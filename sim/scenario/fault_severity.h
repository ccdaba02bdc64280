// Three severities of every fault, so that a scenario can say how bad a fault is without knowing
// what is usual: `severity = "mild"`.
//
//   mild    a technician would not notice it on a walk round the machine
//   medium  shows in the dug-up row or on the monitor by the end of a field
//   severe  the row should not go on
//
// A severity is the fault's `by`, `amount` or number of bits; of a fault that is on or off it is
// how long it lasts.
// Source   common practice, no source: the sizes are ours, chosen by the sentences above
// Errors   EXPECTS a kind of the catalog
// Checked  tests/sim/scenario/fault_severity_test.cc
#pragma once

#include <array>
#include <string>
#include <string_view>

#include "sim/scenario/scenario.h"

namespace sim::scenario {

enum class Severity : std::uint8_t { kMild, kMedium, kSevere };
inline constexpr std::array<std::string_view, 3> kSeverities = {"mild", "medium", "severe"};

/// Gives the entry the size of this severity, and `until` where its size is how long it lasts.
void take_severity(FaultEntry& entry, Severity severity);
/// "1 %, 5 %, 20 % of the edges"; "0.5 ms, 2 ms, 5 ms (2, 9, 22 mm at 16 km/h)"
std::string severity_words(std::string_view kind);

}  // namespace sim::scenario
