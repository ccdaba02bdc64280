// The network of a pass in summary.json and in the report, where a scenario states a part of it.
//
// Errors   none
// Checked  tests/sim/study/run/network_fields_test.cc
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "sim/study/run/run.h"

namespace sim::run {

bool network_stated(const scenario::Scenario& scenario);
/// `radio`, `cab` and `power`, those that are stated.
nlohmann::ordered_json network_fields(const RunResult& result);
/// A section of the report; empty where nothing is stated.
std::string network_section(const RunResult& result);

}  // namespace sim::run
