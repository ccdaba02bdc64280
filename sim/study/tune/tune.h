// The delay table of a scenario's attachment, tuned on the nominal row without noise: D = a + b/v
// and its corrections.
//
//   D(v) = T_del(v) + (offset - B/2)/v - T_lead          T_on = B/v + T_lead - T_lag
//   throw              distance that the jet's own speed along the row carries the liquid, u_x t_f
//                      at the scenario's rate (negative: raked back). It hardly changes with u, so
//                      it is a distance: it is in b, and the table's T_lead and T_lag are without
//                      it
//   geared conveyor    T_del = path/(gear v), a distance only
//                      a = -T_lead0, b = path/gear + offset - throw - B0/2
//   timed, gravity     T_del is a time; a mean bounce that grows with v counts as time
//                      a = T_del - T_lead0 + bounce/v, b = offset - throw - B0/2
//
// T_lead and T_lag are measured on pulse trains with the spacing and rate of the scenario, for row
// speeds of 4 to 21 km/h, at the pressure that gives the rate; the firmware reads them by flow.
//
// Errors   BenchError when the model leaves its physical range
// Source   scenarios/manual/measures.md (Delay)
// Checked  tests/sim/study/tune/tune_test.cc
#pragma once

#include <functional>

#include "model/row/row_unit.h"
#include "shared/controller_abi.h"
#include "sim/bench/judged_work.h"
#include "sim/scenario/scenario.h"

namespace sim::tune {

using bench::judged_speed_mps;
using bench::pressure_for_flow_pa;

/// The result of tuning the nominal row, for the controller and for the report.
struct TunedTable {
  sillion_attachment_table table{};
  double delay_time_s = 0.0;
  double delay_distance_m = 0.0;
  double lead_s = 0.0;  // at the scenario's speed and rate
  double lag_s = 0.0;
  double throw_m = 0.0;           // of the jet along the row; in b, not in the table's lead and lag
  double delay_at_speed_s = 0.0;  // D at the scenario's speed
  double smallest_offset_m = 0.0;  // smallest outlet offset that can be served at that speed
  double shortest_closed_s = 0.0;
  double flow_m3ps = 0.0;          // in-band flow that is wanted at that speed
  double pressure_pa = 0.0;        // gives that flow, or the supply's full pressure
  double largest_flow_m3ps = 0.0;  // at the supply's full pressure
  bool serves_rate = true;
  bool servable = true;  // delay not negative
  bool lift_settable = false;
  double spring_rate_needed_npm = 0.0;
  // how time step and lines were fitted to each other on the nominal row; empty for an ideal row
  model::RowFit fit;
};

/// Range of the table's flows, relative to those at 4 and 21 km/h and the scenario's rate. A table
/// for several rates starts lower and ends higher; its points then form a geometric series, because
/// lead changes most at low flow. Lead is still measured at a speed of 4 to 21 km/h.
struct TableSpan {
  double lowest_ratio = 1.0;
  double highest_ratio = 1.0;
  double slowest_mps = 4.0 / 3.6;
  double fastest_mps = 21.0 / 3.6;
};

/// `on_progress` gets the share that is done, 0 to 1, one call at a time, from any thread.
TunedTable tune(const scenario::Scenario& scenario, const TableSpan& span = {},
                const std::function<void(double done_ratio)>& on_progress = {});

/// Time by which the bands of the settled train land later over the ground than the band of a pulse
/// into liquid at rest: nominal row, at the judged speed and rate. 0 for an ideal row.
double still_shift_s(const scenario::Scenario& scenario, const TunedTable& tuned);

}  // namespace sim::tune
