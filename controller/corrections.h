// What voltage, viscosity and the pulse before add to the table's lead and lag.
//
//   linear between two points, the end point held outside: the caller tells that once an excursion
//   pressure     the table's pressures times viscosity_pressure/4096: a thicker liquid needs more
//   voltage      mean of the supply's samples over about 64 ms, so that the ripple of an alternator
//                does not shake the firing; opening takes less than one ripple period anyway
//   rest         since this row's last closing command, of the pulse that is planned
//
// In       mV, 1e-6 Pa s, us       Out   us
// Errors   an unknown viscosity (0) or a correction without points adds nothing
// Checked  tests/controller/corrections_test.cc
#pragma once

#include <cstdint>

#include "controller/report.h"
#include "shared/controller_abi.h"

namespace controller {

struct Shift {
  std::int32_t lead_us = 0;
  std::int32_t lag_us = 0;
  bool held = false;  // outside the points
};

/// Supply as the row sees it, and what has been told of corrections outside their range.
struct Corrections {
  std::int64_t supply_q6_mv = 0;  // 64 times the mean; 0: no sample yet
  bool told_voltage = false;
  bool told_viscosity = false;
};

/// False when a correction's points do not rise or are out of any sense.
bool usable(const sillion_correction& correction);
/// CRC-32 over the table's members before check_sum.
std::uint32_t check_sum_of(const sillion_attachment_table& table);
Shift shift_at(const sillion_correction& correction, std::int32_t at);
/// Takes one sample of the supply, once a tick.
void take_supply(Corrections& state, std::uint16_t counts, std::uint32_t analog_bits,
                 std::int32_t full_scale_mv);
std::int32_t supply_mv(const Corrections& state);
/// Voltage and viscosity together; events where an end is held.
Shift shift_now(Corrections& state, const sillion_config& config, Report& report);
/// The table's pressure for the liquid of today, and back.
std::int32_t pressure_today_pa(const sillion_config& config, std::int32_t table_pa);
std::int32_t pressure_in_table_pa(const sillion_config& config, std::int32_t today_pa);

}  // namespace controller
