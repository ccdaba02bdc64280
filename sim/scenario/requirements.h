// The lists of tables in a scenario: requirements and faults, each checked against its catalog.
//
// Errors   InputError: unknown metric or fault with the nearest name, a bound of the wrong kind, a
//          missing value
// Checked  tests/sim/scenario/loader_test.cc, tests/hostile/input_test.cc
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/metric_names.h"
#include "sim/scenario/scenario.h"
#include "sim/text/document.h"
#include "sim/text/quantity.h"

namespace sim::scenario {

/// The faults and work of `scenario` are read already: a requirement that waits for something which
/// the scenario never brings about is refused.
std::vector<Requirement> read_requirements(const text::Node& list, const Scenario& scenario);
std::vector<FaultEntry> read_faults(const text::Node& list, int rows);
/// The metric that a node names.
const MetricName& read_metric(const text::Node& node, const std::string& key);
/// The kind of quantity in which people write a metric with that unit.
text::Kind kind_of_metric(std::string_view unit);

}  // namespace sim::scenario
