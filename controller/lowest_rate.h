// The lowest in-band rate that a row can still lay, and whether wear has raised it.
//
//   lowest flow   of the table, times (1 + rise): worn seats and orifices let more through at the
//                 same pressure and current. The rise is the meter's finding (rate_loop.h)
//   lowest rate   lowest flow * t / (B w),  t = max(B/v, shortest_on - T_lead + T_lag): a band
//                 takes its length over the speed, and no less than the shortest pulse lasts
//   worn          the rise has passed 10 %; over when it has fallen below 8 %
//
//   1 mm3/s * 1 us / (1 um * 1 um) is 1e6 nm.
//
// In       configuration, speed of the row (um/s), rise (1/65536)     Out   nm, the rate's unit
// State    none
// Errors   standing or backwards: the slowest speed at which a row works
// Checked  tests/controller/lowest_rate_test.cc, tests/sim/bench/worn_row_test.cc
#pragma once

#include <cstdint>

#include "shared/controller_abi.h"

namespace controller {

inline constexpr std::int32_t kWornQ16 = 65'536 * 10 / 100;
inline constexpr std::int32_t kWornOverQ16 = 65'536 * 8 / 100;

struct LowestRate {
  std::int32_t now_nm = 0;
  std::int32_t table_nm = 0;
};

LowestRate lowest_rate(const sillion_config& config, std::int32_t speed_umps,
                       std::int32_t rise_q16);

}  // namespace controller
