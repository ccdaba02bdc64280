// The machine controller: speed and set points to all rows, pressure to the regulator.
//
//   [1] bus frames -> speed and yaw rate      [2] row reports -> trim, alarms, totals of each row
//   [3] MOTION at every new speed, repeated with its greater age after 100 ms of silence
//   [4] pressure set point and SETPOINT every 100 ms, raised with the wanted rate, and at once when
//       the bus brings another rate: the pressure first, then the rows (rate_change)
//   [5] the measured pressure is held against its set point every 10 ms (pressure_watch)
//   [6] the totals on storage
//
//   Each alarm of a row that comes or goes is an event here too, with the row: at the latest 210 ms
//   after the row saw it, the row's report every 200 ms and the hand-over of frames every 10 ms.
//   It decides no firing instant. When the speed is lost, the last pressure stands and MOTION stops
//   2 s later; the rows have closed by themselves long before.
//
// State    speed estimate, pressure loop, totals of the rows, sequence numbers
// Errors   bad frames are counted and dropped
// Checked  tests/controller/machine_controller_test.cc
#pragma once

#include <cstddef>
#include <cstdint>

#include "controller/pressure_loop.h"
#include "controller/pressure_watch.h"
#include "controller/rate_change.h"
#include "controller/report.h"
#include "controller/row_totals.h"
#include "controller/speed_estimate.h"
#include "controller/totals_store.h"
#include "shared/controller_abi.h"

namespace controller {

struct MachineController {
  sillion_config config{};
  SpeedEstimate estimate;
  PressureLoop pressure;
  RateChange rate;
  PressureWatch watch;
  RowTotals totals;
  TotalsStore store;
  std::uint16_t alarms[kMostRows] = {};  // bits of enum sillion_alarm that each row reports
  std::uint16_t motion_sequence = 0;
  std::uint16_t set_point_sequence = 0;
  std::uint32_t motion_sent_ticks = 0;
  std::uint32_t ticks_done = 0;
};

/// `storage` as in sillion_init, `resets` of the health counters.
MachineController machine_controller_for(const sillion_config& config, const void* storage,
                                         std::size_t storage_size, std::uint32_t resets);
void step(MachineController& machine, const sillion_input& in, Report& report);

}  // namespace controller
