// The pressure that the machine asks for: from the wanted rate, trimmed by the rows' flow meters.
//
//   wanted      Q = q w v of the fastest row, v + |omega| (rows - 1)/2 w
//   pressure    the table's at Q (1 + trim), within pressure_max
//   trim        rows report the flow that they measured and the flow that they expected at the very
//               set point they were given; g is the sum of the first over that of the second. It
//               shows how far the table is off whatever the trim was: the trim should be 1/g - 1.
//               Once per second the trim goes an eighth of the way, within 15 %.
//
// Anti-windup  the trim is no sum: it approaches a value, so it cannot wind up while the pressure
//              is at its limit
// Guard    a row that differs by more than half is broken, not inexact: it has no vote. Rows that
//          set their own lift and rows that have been silent for 3 s have no vote either
// Restart  a row that starts anew begins its sequence again, far ahead after a reset, and says its
//          resets. After a loss of power in its first 13 s that looks like overtaken reports; no
//          radio brings five of these in a row, so the fifth is taken
// Errors   a flow outside the table: nearest point and RATE_OUT_OF_RANGE, once per excursion
// Checked  tests/controller/pressure_loop_test.cc
#pragma once

#include <array>
#include <cstdint>

#include "controller/frames.h"
#include "controller/report.h"
#include "controller/sequence.h"
#include "shared/controller_abi.h"

namespace controller {

inline constexpr std::int32_t kMostRows = 64;

struct RowVote {
  bool valid = false;
  std::uint8_t behind = 0;  // reports in a row that were dropped as repeated or overtaken
  std::uint8_t resets = 0;  // of the row, modulo 16
  std::uint32_t heard_ticks = 0;
  std::int32_t flow_mm3ps = 0;
  std::int32_t expected_mm3ps = 0;
  Sequence sequence;
};

struct PressureLoop {
  std::array<RowVote, kMostRows> votes{};
  std::int32_t trim_q16 = 0;
  std::int32_t wanted_mm3ps = 0;
  std::int32_t pressure_pa = 0;
  bool out_of_range = false;
};

/// False for a report that is bad, repeated or overtaken: nothing of it may be used.
/// `started_anew`: the row's sequence has begun again, or its resets are others.
bool take_row_report(PressureLoop& loop, const sillion_frame& frame, const sillion_config& config,
                     RowReportFrame& row, bool& started_anew, Report& report);
/// Sets wanted flow and pressure for a motion of the machine's middle.
void set_pressure(PressureLoop& loop, const sillion_config& config, std::int32_t speed_umps,
                  std::int32_t yaw_uradps, Report& report);
/// Moves the trim; call once per second.
void trim_pressure(PressureLoop& loop, std::uint32_t now_ticks);

}  // namespace controller
