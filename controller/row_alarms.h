// What a row can tell to be broken: its sensor, its outlet, valve or tube, its meter.
//
//   no seeds    at work, and the way since the last accepted edge is 20 theoretical spacings; 60
//               before the first edge, because the meter has to fill
//   empty line  at the hose there is less than a quarter of the pressure that the machine set, for
//               300 ms: no tank, pump or hose gives liquid. Flow is not judged then: no pressure
//               explains why none comes
//   no flow     bands for 10 seeds, and for 4 pulses of the meter, went out, and it gave none,
//               while pressure stands at the hose: plugged, not opening, or the meter is dead; the
//               row cannot tell which
//   low, high   the meter counted less than 7/10, or more than 13/10, of what the bands of a window
//               should have been: partly plugged, leaking, or the meter lies. A window holds 10
//               bands, and 10 pulses of the meter where that is more
//   worn        the lowest rate that the row can lay has risen (controller/lowest_rate.h)
//
//   slow valve  the coil's current says so (opening_seen.h)
//
//   So a plug that begins within a window shows by the end of the next, which is 20 seeds where a
//   pulse of the meter is not more than a band. Flow and pressure are not judged for 1 s after the
//   row began to work: the pressure is still on its way. An alarm is over when the next window is
//   in order, or with the next edge (pulse of the meter, pressure above a quarter).
//
// Use      judge_alarms() once per tick; each change is an event, and the row's report carries all
// In       way (pm), accepted seeds, band time (us), expected flow (mm3/s), free-running pulses,
//          pressure at the hose and as set (Pa), rise of the flow (1/65536)
// Errors   none; without a meter sensor and pressure alone are watched, and pressure only where its
//          converter channel has a scale and the machine's set point is known
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
  std::uint16_t low_ms = 0;  // for which there has been no pressure at the hose
};

struct AlarmInputs {
  bool at_work = false;
  std::int64_t place_pm = 0;
  std::uint32_t seeds = 0;   // accepted since reset
  std::int64_t band_us = 0;  // since the last call
  std::int32_t should_be_mm3ps = 0;
  std::uint32_t meter_pulses = 0;
  std::int32_t pressure_pa = 0;  // at the hose
  std::int32_t set_pa = 0;       // 0: not known, or no pressure is measured
  std::int32_t speed_umps = 0;
  std::int32_t rise_q16 = 0;  // of the flow over the table's
  bool slow_valve = false;
};

void judge_alarms(RowAlarms& alarms, const sillion_config& config, const AlarmInputs& now,
                  Report& report);

}  // namespace controller
