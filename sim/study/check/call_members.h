// The members of a controller's call by name, so that a difference of two calls can be named.
//
// Names    as in shared/controller_abi.h: "bridge.state", "compares[1].at_ticks"
// Errors   none; entries beyond the counts are left out
// Checked  tests/sim/study/check/compare_builds_test.cc
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "shared/controller_abi.h"

namespace sim::check {

using CallMembers = std::vector<std::pair<std::string, long long>>;

CallMembers members_of(const sillion_input& input);
CallMembers members_of(const sillion_output& output);

}  // namespace sim::check
