// The row controller: what happens to one seed, in this order in every call.
//
//   [1] the odometer is brought to now        [2] frames: speed, set points
//   [3] what the compares did is booked, and the opening that the coil's current showed
//   [4] the row decides whether it must stay closed
//   [5] edges become seeds in the queue; those of a closed row are counted and get no band
//   [6] a row that must close shuts its valve and empties the queue; any other plans its pulses
//       anew at every tick, and whenever a seed or a match came
//   [7] the flow loop and the alarms          [8] report to the machine
//   [9] storage: the configuration's copies, then the count of the valve's openings
//   [10] how long no periodic call is wanted
//
// Clock    delay law, distance and planning count in own ticks, so that law and motion are put into
//          these by the rate against the machine's clock (clock_rate.h); flow and thresholds take
//          the motion as it is. Not put: the shift by the rest, at 1 % of some 0.3 ms nothing
// Sleep    lifted or in hold, with the valve shut and no write under way: 20 ms between two
//          periodic calls, a fifth of the watchdog's usual time. A frame or an edge still comes at
//          once
//
// Timing   every call costs at most one pass over the queue (64 seeds); no waiting, no recursion
// State    the parts below, all inside the caller's block
// Errors   bad input is counted and dropped; the valve is closed whenever the row cannot know
//          better
// Checked  tests/controller/row_controller_test.cc, tests/controller/hostile_test.cc
#pragma once

#include <cstdint>

#include "controller/clock_rate.h"
#include "controller/config_store.h"
#include "controller/corrections.h"
#include "controller/edge_filter.h"
#include "controller/odometer.h"
#include "controller/opening_seen.h"
#include "controller/pulse_planner.h"
#include "controller/rate_loop.h"
#include "controller/report.h"
#include "controller/row_alarms.h"
#include "controller/row_motion.h"
#include "controller/safe_state.h"
#include "controller/seed_queue.h"
#include "controller/valve_cycles.h"
#include "shared/controller_abi.h"

namespace controller {

/// The machine's set points as this row got them.
struct ReceivedSetPoint {
  Sequence sequence;
  bool known = false;
  std::uint32_t received_ticks = 0;
  std::int32_t valid_us = 0;
  std::int32_t rate_nm = 0;
  std::int32_t pressure_pa = 0;
};

/// What the table gives for the present flow.
struct Setting {
  std::int32_t should_be_mm3ps = 0;  // flow that this setting gives in the band
  std::int32_t current_ma = 0;
  std::int32_t lead_us = 0;
  std::int32_t lag_us = 0;
  std::int32_t opening_us = 0;  // from the command to the plunger's stop; 0: not stated
  bool may_rise = true;
  bool may_fall = true;
};

struct RowController {
  sillion_config config{};
  EdgeFilter edges;
  SeedQueue queue;
  RowMotion motion;
  Odometer odometer;
  ReceivedSetPoint set_point;
  ClockRate clock;
  SafeState safe;
  PulsePlanner planner;
  RateLoop rate;
  RowAlarms alarms;
  Corrections corrections;
  OpeningSeen opening;
  ConfigStore store;
  ValveCycles cycles;
  bool shut = false;              // the closing command of this safe state has been given
  std::uint32_t seeds = 0;        // accepted since reset
  std::int64_t band_time_us = 0;  // of the planner, as the flow loop saw it last
  std::uint16_t report_sequence = 0;
  std::uint32_t tick_ticks = 0;      // instant of the last periodic call
  std::uint32_t wake_ticks = 0;      // the next one is not wanted before this
  std::int32_t until_report_ms = 1;  // the first tick sends one
  bool rate_out_of_range = false;
  bool told_simulated = false;
  bool told_not_resolvable = false;
};

/// `storage` as in sillion_init.
RowController row_controller_for(const sillion_config& config, const void* storage,
                                 std::size_t storage_size);
void step(RowController& row, const sillion_input& in, Report& report);

}  // namespace controller
