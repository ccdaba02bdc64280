// What a row can tell to be broken: its sensor, its outlet, valve or tube, its meter.
//
//   no seeds    at work, and the way since the last accepted edge is 20 theoretical spacings; 60
//               before the first edge, because the meter has to fill
//   no flow     bands for 10 seeds, and for 4 pulses of the meter, went out, and it gave none:
//               plugged, not opening, empty, or the meter is dead; the row cannot tell which
//   low, high   the meter counted less than 7/10, or more than 13/10, of what the bands of a window
//               should have been: partly plugged, leaking, or the meter lies. A window holds 10
//               bands, and 10 pulses of the meter where that is more
//
//   So a plug that begins within a window shows by the end of the next, which is 20 seeds where a
//   pulse of the meter is not more than a band. Flow is not judged for 1 s after the row began to
//   work: the pressure is still on its way. An alarm is over when the next window is in order, or
//   with the next edge (pulse of the meter).
//
// Use      judge_alarms() once per tick; each change is an event, and the row's report carries all
// In       way (pm), accepted seeds, band time (us), expected flow (mm3/s), free-running pulses
// Errors   none; without a meter only the sensor is watched
// Source   the sizes are ours, common practice, no source
// Checked  tests/controller/row_alarms_test.cc
#pragma once

#include <cstdint>

#include "controller/report.h"
#include "shared/controller_abi.h"

namespace controller {

struct RowAlarms {
  std::uint32_t raised = 0;  // bits of enum sillion_alarm
  bool at_work = false;
  std::uint32_t work_from_ticks = 0;
  std::int64_t edge_place_pm = 0;
  std::uint32_t seeds = 0;
  bool seen = false;  // an edge since the row began to work
  std::uint32_t meter_pulses = 0;
  std::int64_t since_pulse_nmm3 = 0;  // expected volume since the meter's last pulse, 1e-6 mm3
  std::int64_t window_nmm3 = 0;
  std::uint32_t window_pulses = 0;
};

struct AlarmInputs {
  bool at_work = false;
  std::int64_t place_pm = 0;
  std::uint32_t seeds = 0;   // accepted since reset
  std::int64_t band_us = 0;  // since the last call
  std::int32_t should_be_mm3ps = 0;
  std::uint32_t meter_pulses = 0;
};

void judge_alarms(RowAlarms& alarms, const sillion_config& config, const AlarmInputs& now,
                  Report& report);

}  // namespace controller
