// How this row moves, from the machine's MOTION frames.
//
//   v_row(t) = v + a (t - t_m) - omega y      t_m: instant of the measurement = received less age
//   y positive to the right, omega positive in a right-hand turn: in a left turn right-hand rows go
//   faster. The acceleration is the machine's; that of a changing yaw rate is left out (at 3 m from
//   the middle and 0.1 rad/s2 it moves a band by less than 1 mm over 100 ms).
//
// In       MOTION frames            Out   um/s and um/s2 at any instant near now
// Fresh    age at most the configured timeout and within the frame's own validity
// State    the last frame taken; forgotten when it is no longer fresh, so a counter wrap cannot
//          revive it
// Errors   a frame out of sequence or out of range is dropped and counted
// Checked  tests/controller/row_motion_test.cc
#pragma once

#include <cstdint>

#include "controller/frames.h"
#include "controller/report.h"
#include "controller/sequence.h"

namespace controller {

struct RowMotion {
  std::int32_t row_y_mm = 0;
  std::int32_t timeout_us = 0;
  Sequence sequence;
  bool known = false;
  std::uint32_t measured_ticks = 0;
  std::uint32_t received_ticks = 0;
  std::int32_t valid_us = 0;
  std::int32_t speed_umps = 0;  // of this row at measured_ticks
  std::int32_t accel_umps2 = 0;
};

RowMotion row_motion_for(const sillion_config& config);
void take_motion(RowMotion& motion, const sillion_frame& frame, Report& report);
/// Call before use in every step: drops a speed that has grown old.
void drop_stale_speed(RowMotion& motion, std::uint32_t now_ticks);
/// This row's speed at an instant; 0 while it is not known.
std::int32_t row_speed_umps(const RowMotion& motion, std::uint32_t at_ticks);

}  // namespace controller
