// No frames with course and speed over ground arrive, as without a satellite receiver; frames with
// ground-based speed still arrive.
//
// Checked  tests/sim/bench/drives_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LostCourse {
  static constexpr const char* kName = "lost_course";
  static constexpr const char* kHelp = "no course frame reaches the controller";
  static constexpr bool kOfMachine = true;
};
inline void describe(LostCourse&, auto&) {}
inline void bend(const LostCourse&, BusSeam& seam) { seam.course_lost = true; }

}  // namespace sim::scenario
