// What voltage, viscosity and the pulse before add to the table's lead and lag.
//
//   linear between two points; outside, the end value holds, which is reported once per excursion
//   pressure     the table's pressures times viscosity_pressure/4096: a thicker liquid needs more
//   voltage      mean of the supply's samples over about 64 ms, so that the ripple of an alternator
//                does not shake the firing; opening takes less than one ripple period anyway
//   rest         time from this row's last closing command to the opening of the planned pulse
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

/// Supply as the row sees it, and which corrections outside their range have been reported.
struct Corrections {
  std::int64_t supply_q6_mv = 0;  // 64 times the mean; 0: no sample yet
  bool told_voltage = false;
  bool told_viscosity = false;
};

/// False when a correction's points do not rise or its shifts are beyond 100 ms.
bool usable(const sillion_correction& correction);
bool states_opening(const sillion_attachment_table& table);
/// CRC-32 over the table's members before check_sum, opening_us only where it is stated.
std::uint32_t check_sum_of(const sillion_attachment_table& table);
Shift shift_at(const sillion_correction& correction, std::int32_t at);
/// Takes one sample of the supply, once per tick.
void take_supply(Corrections& state, std::uint16_t counts, std::uint32_t analog_bits,
                 std::int32_t full_scale_mv);
std::int32_t supply_mv(const Corrections& state);
/// What the supply of now adds to the lead.
std::int32_t voltage_lead_us(const Corrections& state, const sillion_attachment_table& table);
/// Sum of voltage's and viscosity's shift; reports an event where an end value holds.
Shift shift_now(Corrections& state, const sillion_config& config, Report& report);
/// The table's pressure for the liquid of today, and back.
std::int32_t pressure_today_pa(const sillion_config& config, std::int32_t table_pa);
std::int32_t pressure_in_table_pa(const sillion_config& config, std::int32_t today_pa);

}  // namespace controller
