// Is this valve in order? Figures from a programme or a trace are judged by limits.
//
//   violated    even the near end of the 95 % interval is beyond the limit
//   undecided   the limit lies inside the interval
//   not seen    the trace has no such figure
//   Standing    not in order: any limit is violated; none: no limit was judged, or an essential one
//               (opening, closing) is undecided or not seen; in order: otherwise
//   A trace's times are means over its pulses that are neither missing nor clipped. Their interval
//   comes from the scatter between pulses or each pulse's own uncertainty, whichever is larger. The
//   model does not judge what the trace does not show.
//
// Errors   none
// Checked  tests/sim/study/valve/valve_verdict_test.cc
#pragma once

#include <limits>
#include <string>
#include <vector>

#include "sim/study/valve/trace/trace_pulses.h"
#include "sim/study/valve/valve_limits.h"
#include "sim/study/valve/valve_programme.h"

namespace sim::valve {

struct ValveFigure {
  ValveFigureKind kind = ValveFigureKind::kOpening;
  double value_si = std::numeric_limits<double>::quiet_NaN();  // not-a-number: not seen
  double half_si = 0.0;                                        // half of its 95 % interval
  std::string why_not;  // why it was not seen, where it was not
};

std::vector<ValveFigure> figures_of(const ValveProgramme& programme);
std::vector<ValveFigure> figures_of(const TraceFindings& findings, const rig::RigSetup& setup);

enum class LimitStanding : std::uint8_t { kHolds, kViolated, kUndecided, kNotSeen };
struct JudgedLimit {
  ValveLimit limit;
  ValveFigure figure;
  LimitStanding standing = LimitStanding::kNotSeen;
};

enum class ValveStanding : std::uint8_t { kInOrder, kNotInOrder, kNoVerdict };
struct ValveVerdict {
  ValveStanding standing = ValveStanding::kNoVerdict;
  std::vector<JudgedLimit> limits;
};

ValveVerdict judge_valve(const std::vector<ValveFigure>& figures, const ValveLimits& limits);

}  // namespace sim::valve
