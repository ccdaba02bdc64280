// The attachment's static table: which pressure, current, lead and lag belong to a flow.
//
//   between two points   current, lead, lag and opening are linear in the flow;
//                        pressure is linear in the flow squared: exact for any p = p0 + c Q^2, the
//                        root law of an orifice, whatever static head it stands on
//   outside the table    the nearest point, marked as out of range: nothing is known there
//   wanted flow          Q = q w v: 1 nm * 1 um * 1 um/s = 1e-12 mm3/s
//
// In       mm3/s, Pa           Out   Pa, mA, us
// Errors   a table that is empty, not rising or out of range is refused at the start
// Checked  tests/controller/set_point_table_test.cc
#pragma once

#include <cstdint>

#include "shared/controller_abi.h"

namespace controller {

struct SetPoint {
  std::int32_t pressure_pa = 0;
  std::int32_t current_ma = 0;
  std::int32_t lead_us = 0;
  std::int32_t lag_us = 0;
  std::int32_t opening_us = 0;       // 0: not stated
  std::int32_t reachable_mm3ps = 0;  // the wanted flow, held inside the table
  bool in_range = false;
};

/// False when the table cannot be used; the controller then refuses to start.
bool usable(const sillion_attachment_table& table);
SetPoint set_point_for(const sillion_attachment_table& table, std::int32_t flow_mm3ps);
/// The flow that the table gives at a pressure, held inside the table.
std::int32_t flow_at_pressure_mm3ps(const sillion_attachment_table& table,
                                    std::int32_t pressure_pa);
/// Largest integer whose square is not above n.
std::int64_t root_of(std::int64_t n);
/// Flow of one row for an in-band rate, 0 when standing or backwards.
std::int32_t wanted_flow_mm3ps(std::int32_t rate_nm, std::int32_t width_um,
                               std::int32_t speed_umps);
/// Flow changed by a share of 1/65536.
std::int32_t trimmed_mm3ps(std::int32_t flow_mm3ps, std::int32_t trim_q16);

}  // namespace controller
