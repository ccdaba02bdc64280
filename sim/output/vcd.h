// A waveform as a value change dump (IEEE Std 1364-2005, clause 18), and the same data as CSV.
//
//   VCD   timescale 1 us, from the first instant on; scopes row.sensor, row.controller, row.valve,
//         row.column, row.ground; names carry the unit that a viewer shows (lift_mm, supply_bar)
//   CSV   one line per instant, SI
//
// Of several instants within 1 us the last is written, with an event if any of them had one. Only
// changes are written. Where no liquid lands, the dump keeps the last place (0 before the first),
// because VCD has no unknown real; the CSV leaves its cell empty. An event lasts 1 us.
// Errors   EXPECTS instants in order of time, from run start on
// Source   IEEE Std 1364-2005, clause 18: four-state VCD, reals as %.16g (from memory)
// Checked  tests/sim/output/vcd_test.cc
#pragma once

#include <string>

#include "sim/measure/waveform.h"

namespace sim::output {

std::string vcd_text(const measure::Waveform& wave);
std::string wave_csv(const measure::Waveform& wave);

}  // namespace sim::output
