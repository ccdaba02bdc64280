// A rate that changes while the machine is at work: the pressure first, then the rows.
//
//   in the band   q = field rate * spacing / band length; the field rate itself where bands touch
//                 and in the continuous stream
//   pressure      the set point moves in the call that brings the new rate
//   rows          until the pressure has come, SETPOINT holds what the manifold has: the measured
//                 pressure, and the rate q Q(p)/Q(p_set), Q the table's flow. So leads and lags are
//                 those of the pressure behind the valve. A row that sets its own lift stays on the
//                 table too: with the new lift at the old pressure its lead would be that of no
//                 point of the table, and its meter would see a flow short of the wanted one.
//   come          within 1/32 of the set point (1/64 of the flow), or 1.5 s after the rate: then
//                 the rows get the new rate and the set point
//   rate 0        the rows get it at once and keep closed; the pressure of the rate before stands,
//                 so that the rate behind it need not wait
//
// Both values lie between those of the old rate and of the new one, so that a converter that is
// broken does no harm beyond the 1.5 s. Without a converter the rows get the new rate at once.
// What bounds the dose behind a change is the regulator: with a lag of tau and a step of the rate
// from q0 to q1 the flow is within a share e of q1 after tau ln(|1 - (q0/q1)^2| / (1 - (1-e)^2))
// upwards, ((1+e)^2 - 1) downwards: for 20 % and e = 5 % 1.1 tau and 1.4 to 1.7 tau.
//
// State    rates and pressure of before and now, when the bus brought the rate
// Errors   a rate beyond 1000 l/ha is a bad frame
// Checked  tests/controller/rate_change_test.cc, tests/sim/bench/rate_zones_test.cc
#pragma once

#include <cstdint>

#include "controller/report.h"
#include "shared/controller_abi.h"

namespace controller {

struct RateChange {
  std::int32_t rate_nm = 0;      // in the band, of the bus or the configuration
  std::int32_t old_nm = 0;       // that the rows had
  std::int32_t old_pa = 0;       // the set point of before
  std::uint32_t came_ticks = 0;  // of the frame
  bool moving = false;           // the pressure is on its way
};

/// What the rows are told.
struct Told {
  std::int32_t rate_nm = 0;
  std::int32_t pressure_pa = 0;
};

/// Takes a frame of the bus; true when the rate is another one. `pressure_pa`: the set point up to
/// now.
bool take_rate(RateChange& change, const sillion_frame& frame, const sillion_config& config,
               std::int32_t pressure_pa, Report& report);
/// What the rows get now. `set_pa`: the new set point, `measured_pa`: -1 without a converter.
Told told_now(RateChange& change, const sillion_config& config, std::int32_t set_pa,
              std::int32_t measured_pa, Report& report);

}  // namespace controller
