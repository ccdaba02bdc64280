// One row around one watched seed, instant by instant, for a waveform viewer. An instant holds the
// value of every signal from then on; bench time from run start, places in the ground frame along
// the row's own track, pressures gauge.
//
// Marks stand in time, not in place: `wanted` is on while what leaves now lands within half a
// commanded band length of the watched seed, `own_liquid` while the liquid that leaves belongs to
// the band of seed `seed_number`; -1 there means that the band is matched to no seed.
//
// Errors   none: a plain table
// Checked  tests/sim/output/vcd_test.cc
#pragma once

#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "shared/time.h"

namespace sim::measure {

struct WaveInstant {
  shared::Instant at{};
  bool covered = false;  // sensor
  bool drive = false, fast_decay = false, reverse = false;
  bool valve_commanded = false;
  bool lowered = false;
  bool event = false;  // the controller raised one; a wire of 1 us in the dump
  bool wanted = false, own_liquid = false;
  std::int32_t seed_number = -1;
  double supply_voltage_v = 0.0;
  double current_a = 0.0;
  double lift_m = 0.0;
  double supply_pressure_pa = 0.0;
  double hose_end_pressure_pa = 0.0;
  double valve_exit_pressure_pa = 0.0;
  double outlet_pressure_pa = 0.0;
  double valve_flow_m3ps = 0.0;
  double outlet_flow_m3ps = 0.0;
  double landing_x_ground_m = std::numeric_limits<double>::quiet_NaN();  // nothing leaves
};

struct Waveform {
  std::vector<std::string> notes;     // scenario, row, seed, hashes; no clock, no path
  std::vector<WaveInstant> instants;  // in order of time
};

}  // namespace sim::measure
