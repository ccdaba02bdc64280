// How much of the field one answer of the page passes over: one row, for about 3 s.
//
// Shape    fewer seeds than 30 show no spread, more than 400 take longer than a picture may
// Errors   none
// Checked  tests/sim/study/page/page_settings_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::page {

/// Field that one answer passes over, at the scenario's speed.
inline constexpr double kPageField_s = 3.0;

/// Gives the scenario that many seeds; the settings that say so on a command line.
std::vector<std::string> take_page_field(scenario::Scenario& scenario);

}  // namespace sim::page
