// The values of a delay table at a flow, as the controller reads them, in real numbers: for sheets
// and plans that report what the firmware will do.
//
//   lead, lag    linear in the flow between points, the nearest point outside the table
//   pressure     linear in the flow squared
//   D(v) = a + b/v - (T_lead(Q) - T_lead0), on time = B0/v + T_lead - T_lag, at least shortest_on
//
// Checked  tests/sim/study/delay/delay_test.cc against the controller's own reading
#pragma once

#include "shared/controller_abi.h"

namespace sim::tune {

struct TableReading {
  double pressure_pa = 0.0;
  double lead_s = 0.0;
  double lag_s = 0.0;
};

TableReading read_table(const sillion_attachment_table& table, double flow_m3ps);

struct PulseOrder {
  double delay_s = 0.0;  // edge to opening
  double on_s = 0.0;
};

PulseOrder pulse_order(const sillion_attachment_table& table, double flow_m3ps, double speed_mps);

}  // namespace sim::tune
