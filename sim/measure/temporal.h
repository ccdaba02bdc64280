// Requirements over a row's signals in time, judged with their robustness: by how much they hold.
//
//   always S <= c while G     margin = c - largest S seen while G is on, in the unit of S
//   never S while G           D = G less `grace` after each of its rises; violated: value =
//                             longest stretch of S inside D, margin its negative; else margin =
//                             the smallest distance in time between S and D
//   W: S within T             for every rise of W: response = first instant of S at or after it;
//                             value = largest response, margin = T - value. With T in seeds both
//                             count edges of the seed sensor. A rise whose T reaches past the end
//                             of the pass says nothing unless S came
//   W: hold S until U         for every rise of W, to the next rise of U (or the end): violated:
//                             value = time from the first instant without S to that rise of U,
//                             margin its negative; else margin = time that S goes on after it
//   Over rows the smallest margin counts. A requirement that found no instant to judge has no
//   value: `fired` false, never a pass.
//
// Errors   std::invalid_argument for a signal that the catalog does not have
// Source   robustness as signed distance in value and in time: A. Donze, O. Maler, Robust
//          satisfaction of temporal logic over real-valued signals, FORMATS 2010 (from memory)
// Checked  tests/sim/measure/temporal_test.cc
#pragma once

#include <span>
#include <string>
#include <vector>

#include "sim/measure/record.h"
#include "sim/scenario/scenario.h"

namespace sim::measure {

struct TemporalResult {
  bool fired = false;
  bool holds = false;
  double limit_si = 0.0;                       // tidy: unit the requirement's
  double value_si = statistics::kNone_ratio;   // tidy: unit the requirement's
  double margin_si = statistics::kNone_ratio;  // tidy: unit the requirement's
  int row = -1;                                // where the margin is smallest
  double at_s = statistics::kNone_ratio;
};

TemporalResult judge_in_time(const scenario::Requirement& requirement,
                             std::span<const RowRecord> rows);

}  // namespace sim::measure
