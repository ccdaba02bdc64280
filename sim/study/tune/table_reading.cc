#include "sim/study/tune/table_reading.h"

#include <algorithm>

namespace sim::tune {

TableReading read_table(const sillion_attachment_table& table, double flow_m3ps) {
  const double flow = flow_m3ps * 1e9;  // tidy: unit mm3/s
  const auto at = [&](int k) {
    return TableReading{static_cast<double>(table.pressure_pa[k]), table.lead_us[k] * 1e-6,
                        table.lag_us[k] * 1e-6};
  };
  const int last = table.points - 1;
  if (flow <= table.flow_mm3ps[0]) return at(0);
  if (flow >= table.flow_mm3ps[last]) return at(last);
  int low = 0;
  while (table.flow_mm3ps[low + 1] < flow) ++low;
  const double from = table.flow_mm3ps[low], to = table.flow_mm3ps[low + 1];  // tidy: unit mm3/s
  const double share_ratio = (flow - from) / (to - from);
  const double square_ratio = (flow * flow - from * from) / (to * to - from * from);
  const TableReading a = at(low), b = at(low + 1);
  return {a.pressure_pa + (b.pressure_pa - a.pressure_pa) * square_ratio,
          a.lead_s + (b.lead_s - a.lead_s) * share_ratio,
          a.lag_s + (b.lag_s - a.lag_s) * share_ratio};
}

PulseOrder pulse_order(const sillion_attachment_table& table, double flow_m3ps, double speed_mps) {
  const TableReading at = read_table(table, flow_m3ps);
  const double open_s = table.delay_time_us * 1e-6 + table.delay_distance_um * 1e-6 / speed_mps -
                        (at.lead_s - table.reference_lead_us * 1e-6);
  const double on_s = table.reference_band_um * 1e-6 / speed_mps + at.lead_s - at.lag_s;
  const double missing_s = std::max(0.0, table.shortest_on_us * 1e-6 - on_s);
  return {open_s - 0.5 * missing_s, on_s + missing_s};
}

}  // namespace sim::tune
