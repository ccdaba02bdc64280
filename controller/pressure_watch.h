// Whether the pressure behind the regulator follows the set point, and who moves it if not.
//
//   slow       the set point through a lag of 1 s, slower than a regulator's answer
//   departs    measured above the higher, or below the lower, of set point and slow by more than
//              1/12 and 5 kPa: a regulator on its way lies between the two
//   counted    10 ms for each sample that departs, less 5 ms for each that does not; from 500 ms on
//              it is no accident
//   said       alarm SECOND_REGULATOR where the pressure was above, and moved by more than twice
//              what the set point did since it last followed: something raises the pressure while
//              this controller does not ask for it. Else event PRESSURE_ASTRAY: a regulator that is
//              stuck stands while the set point moves, a relief valve that closes late lags behind
//              it; a pressure that falls by itself may be an empty tank, a worn pump or another
//              controller, which a pressure alone cannot tell
//   over       when the count, which stops at 1 s, has come back to 0
//
//   While the count is above 0 the flow's trim of the pressure rests (pressure_loop): two
//   controllers that trim one pressure against each other end at the limits of both.
//   Time to the alarm from where another controller sets the pressure off by a share s, regulator's
//   lag tau: 500 ms + tau ln(s/(s - 1/12)); 0.67 s for 15 % and 0.2 s. Where it changes sides every
//   second, some 1.5 s.
//
// In       counts of the converter every 10 ms, set point in Pa
// Out      Pa
// Errors   a converter without full scale: nothing is watched. A share s is seen where it
//          exceeds 1/12 + 5 kPa/p: 15 % from 0.75 bar on, 40 % from 0.16 bar on
// State    below
// Checked  tests/controller/pressure_watch_test.cc
#pragma once

#include <cstdint>

#include "controller/report.h"
#include "shared/controller_abi.h"

namespace controller {

struct PressureRange {
  std::int32_t low_pa = 0;
  std::int32_t high_pa = 0;
};

struct PressureWatch {
  std::int32_t measured_pa = -1;  // smoothed; -1: nothing has been measured
  std::int32_t slow_pa = 0;
  PressureRange measured;  // since it last followed
  PressureRange set;
  std::int16_t count_ms = 0;
  bool above = false;  // since then it was above
  bool astray = false;
  bool second = false;
};

/// Call every 10 ms once a set point has been given.
void watch_pressure(PressureWatch& watch, std::int32_t set_pa, std::uint16_t counts,
                    std::int32_t full_scale_pa, Report& report);

}  // namespace controller
