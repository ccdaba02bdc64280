// How near a requirement is to being violated, as a number that can be compared between
// requirements of different units: its margin as a share of its limit.
//
//   limit not 0   margin / |limit|: 0.04 is 4 % of the limit left, negative: violated by so much
//   limit 0       the margin itself, in SI: a time in seconds, a count as it is
//   +infinity     nothing was seen to judge by; or a count at its floor of 0, which cannot come
//                 closer to its limit
//
// Errors   none
// Checked  tests/sim/measure/tightness_test.cc
#pragma once

#include "sim/measure/summary.h"

namespace sim::measure {

double tightness_ratio(const RequirementResult& one);

}  // namespace sim::measure
