// Frames in and out, as in shared/row_frames.h: little endian, fixed.
//
//   decode() gives false for a frame of the wrong length or sender, or with a value that no planter
//   can have (20 m/s, 2 rad/s): such a frame is bad and nothing of it is used. The links carry
//   their own check sums; decode() catches what passes them and what a foreign sender means
//   otherwise.
//
// Errors   the return value false, nothing else
// Source   ISO 11783-7 (ground-based speed and distance, PGN 65097), PGN 129026 (course and speed);
//          ISO 11783-10 (process data, PGN 0xCB00)
// Checked  tests/controller/frames_test.cc
#pragma once

#include <cstdint>

#include "shared/controller_abi.h"
#include "shared/row_frames.h"

namespace controller {

inline constexpr std::uint8_t kSenderMachine = 255;

struct MotionFrame {
  std::uint16_t sequence = 0;
  std::int32_t valid_ms = 0;
  std::int32_t age_ms = 0;
  std::uint8_t work = 0;
  std::int32_t accel_umps2 = 0;
  std::int32_t speed_umps = 0;
  std::int32_t yaw_uradps = 0;
};

struct SetPointFrame {
  std::uint16_t sequence = 0;
  std::int32_t valid_ms = 0;
  std::int32_t rate_nm = 0;
  std::int32_t pressure_pa = 0;
  std::uint32_t machine_us = 0;  // the machine's clock at sending, wraps
};

enum RowStateBit : std::uint8_t { kFlowValid = 1, kSafeClosed = 2, kStreaming = 4, kSetsLift = 8 };
inline constexpr int kResetsShift = 4;  // the row's resets, modulo 16, stand above

struct RowReportFrame {
  std::uint16_t sequence = 0;
  std::uint8_t row = 0;
  std::uint8_t state = 0;
  std::uint16_t alarms = 0;  // bits of enum sillion_alarm
  std::uint16_t seeds = 0;   // since the row's start, modulo 65536
  std::uint16_t bands = 0;
  std::int32_t flow_mm3ps = 0;
  std::int32_t wanted_mm3ps = 0;
};

/// Ground-based speed, signed by the direction bits.
struct GroundSpeed {
  std::int32_t speed_umps = 0;
};

struct CourseSpeed {
  std::int32_t course_urad = 0;
  bool course_known = false;
  std::int32_t speed_umps = 0;
  bool speed_known = false;
};

/// A process data message: of interest is a value of the rate.
struct RateFrame {
  bool sets_rate = false;
  std::int32_t field_e11 = 0;  // volume per area of the field, 1e-11 m3/m2
};

bool decode(const sillion_frame& frame, MotionFrame& motion);
bool decode(const sillion_frame& frame, SetPointFrame& set_point);
bool decode(const sillion_frame& frame, RowReportFrame& row_report);
bool decode(const sillion_frame& frame, GroundSpeed& ground_speed);
bool decode(const sillion_frame& frame, CourseSpeed& course_speed);
bool decode(const sillion_frame& frame, RateFrame& rate);

sillion_frame encode(const MotionFrame& motion);
sillion_frame encode(const SetPointFrame& set_point);
sillion_frame encode(const RowReportFrame& row_report);

/// Hands a frame over for sending; false when this call's frames are used up.
bool send(sillion_output& out, const sillion_frame& frame);

}  // namespace controller
