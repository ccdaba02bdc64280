// [network]: what its keys lead to, and whether they fit together.
//
// Errors   InputError with file, line and key: slots that do not fit the period for so many rows, a
//          frame that fits no slot, more than 54 rows, a key of a part that is not simulated, an
//          identifier beyond 29 bits or stated twice, a fault of a bus that is not simulated
// Checked  tests/sim/scenario/network_keys_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "sim/scenario/scenario.h"
#include "sim/text/document.h"
#include "sim/text/reader.h"

namespace sim::scenario {

inline constexpr int kMostRadioRows = 54;
/// Identifier of the frame that the machine's own node sends: process data to a task controller.
/// ISO 11783-10, from memory: priority 3, parameter group 0xCB00, to 0xF7, source 0x80.
inline constexpr std::uint32_t kMachineBusId = 0x0CCBF780;

/// network.cab.load_ids, or the default where they are not stated.
std::vector<std::uint32_t> read_load_ids(const text::Node& document);
void check_network(const Scenario& scenario, const text::Places& places, const text::Place& file);
/// Air time of a frame with `length` bytes of its own, in whole nanoseconds, rounded up.
std::int64_t air_time_ns(const RadioSection& radio, int length);

}  // namespace sim::scenario
