// Wear of the valve as report and summary show it.
//
// Checked  tests/sim/measure/valve_life_test.cc
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "sim/study/run/report.h"
#include "sim/study/run/run.h"

namespace sim::run {

std::string wear_line(const RunResult& result, output::Units units);
nlohmann::ordered_json wear_fields(const RunResult& result);

}  // namespace sim::run
