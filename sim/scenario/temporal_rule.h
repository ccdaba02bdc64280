// The temporal form of a [[require]] table.
//
//   always = REAL, at_most or at_least, while    never = SIGNAL, while, grace
//   eventually = SIGNAL, when, within or within_seeds    hold = SIGNAL, when, until
//   SIGNAL may be "not NAME"; "closed" is "not open"
//
// Errors   InputError: unknown signal with the nearest name, a key that the form does not take, a
//          requirement that this scenario can never bring about
// Checked  tests/hostile/requirement_test.cc
#pragma once

#include <string>

#include "sim/scenario/scenario.h"
#include "sim/text/document.h"

namespace sim::scenario {

/// Whether the table states one of the four forms.
bool is_temporal(const text::Node& table);
Requirement read_temporal(const text::Node& table, const std::string& prefix);
/// "never open while lifted", "not open within 50 ms of speed stale".
std::string words_of(const Requirement& requirement);
/// SI unit of limit, value and margin: the real signal's, "s", or "1" for seeds.
std::string unit_of(const Requirement& requirement);
/// Whether a fault keeps every speed from the machine's controller while it acts: the signal
/// "speed lost". A fault of one row alone does not reach the bus.
bool hides_speed(const FaultEntry& fault);
/// Refuses a requirement that waits for something which the scenario never brings about.
void refuse_idle(const Requirement& requirement, const Scenario& scenario, const text::Node& table,
                 const std::string& prefix);

}  // namespace sim::scenario
