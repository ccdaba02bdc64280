#include "controller/set_point_table.h"

#include "controller/corrections.h"
#include "controller/ticks.h"

namespace controller {
namespace {

// Squares of flows times pressures must stay below 2^63: 0.5 l/s and 100 bar do, and are ten times
// what a row takes.
constexpr std::int32_t kMostFlowMm3ps = 500'000;
constexpr std::int32_t kMostPressurePa = 10'000'000;
constexpr std::int32_t kMostTimeUs = 1'000'000;
constexpr std::int32_t kMostCurrentMa = 100'000;

bool within(std::int32_t value, std::int32_t least, std::int32_t most) {
  return value >= least && value <= most;
}

std::int32_t between(std::int32_t low, std::int32_t high, std::int64_t part, std::int64_t whole) {
  return static_cast<std::int32_t>(low + divide_rounded((std::int64_t{high} - low) * part, whole));
}

std::int64_t square(std::int32_t value) { return std::int64_t{value} * value; }

SetPoint point(const sillion_attachment_table& table, std::int32_t index) {
  return {table.pressure_pa[index],
          table.current_ma[index],
          table.lead_us[index],
          table.lag_us[index],
          table.opening_us[index],
          table.flow_mm3ps[index],
          true};
}

}  // namespace

bool usable(const sillion_attachment_table& table) {
  if (!within(table.points, 1, SILLION_TABLE_POINTS)) return false;
  for (std::int32_t i = 0; i < table.points; ++i) {
    if (!within(table.flow_mm3ps[i], 1, kMostFlowMm3ps)) return false;
    if (!within(table.pressure_pa[i], 0, kMostPressurePa)) return false;
    if (!within(table.current_ma[i], 0, kMostCurrentMa)) return false;
    if (!within(table.lead_us[i], -kMostTimeUs, kMostTimeUs)) return false;
    if (!within(table.lag_us[i], -kMostTimeUs, kMostTimeUs)) return false;
    if (!within(table.opening_us[i], 0, kMostTimeUs)) return false;
    if (i > 0 && table.flow_mm3ps[i] <= table.flow_mm3ps[i - 1]) return false;
    if (i > 0 && table.pressure_pa[i] < table.pressure_pa[i - 1]) return false;
  }
  if (!usable(table.voltage) || !usable(table.viscosity) || !usable(table.rest)) return false;
  for (std::int32_t i = 0; i < table.viscosity.points; ++i)
    if (!within(table.viscosity_pressure_q12[i], 1, 1 << 20)) return false;
  return table.check_sum == 0 || table.check_sum == check_sum_of(table);
}

SetPoint set_point_for(const sillion_attachment_table& table, std::int32_t flow_mm3ps) {
  const std::int32_t last = table.points - 1;
  if (flow_mm3ps <= table.flow_mm3ps[0]) {
    SetPoint lowest = point(table, 0);
    lowest.in_range = flow_mm3ps == table.flow_mm3ps[0];
    return lowest;
  }
  if (flow_mm3ps >= table.flow_mm3ps[last]) {
    SetPoint highest = point(table, last);
    highest.in_range = flow_mm3ps == table.flow_mm3ps[last];
    return highest;
  }
  std::int32_t low = 0;
  while (table.flow_mm3ps[low + 1] < flow_mm3ps) ++low;
  const SetPoint a = point(table, low);
  const SetPoint b = point(table, low + 1);
  const std::int64_t part = flow_mm3ps - a.reachable_mm3ps;
  const std::int64_t whole = b.reachable_mm3ps - a.reachable_mm3ps;
  SetPoint set;
  set.pressure_pa =
      between(a.pressure_pa, b.pressure_pa, square(flow_mm3ps) - square(a.reachable_mm3ps),
              square(b.reachable_mm3ps) - square(a.reachable_mm3ps));
  set.current_ma = between(a.current_ma, b.current_ma, part, whole);
  set.lead_us = between(a.lead_us, b.lead_us, part, whole);
  set.lag_us = between(a.lag_us, b.lag_us, part, whole);
  set.opening_us = between(a.opening_us, b.opening_us, part, whole);
  set.reachable_mm3ps = flow_mm3ps;
  set.in_range = true;
  return set;
}

std::int32_t flow_at_pressure_mm3ps(const sillion_attachment_table& table,
                                    std::int32_t pressure_pa) {
  const std::int32_t last = table.points - 1;
  if (pressure_pa <= table.pressure_pa[0]) return table.flow_mm3ps[0];
  if (pressure_pa >= table.pressure_pa[last]) return table.flow_mm3ps[last];
  std::int32_t low = 0;
  while (table.pressure_pa[low + 1] < pressure_pa) ++low;
  const std::int64_t squares = square(table.flow_mm3ps[low + 1]) - square(table.flow_mm3ps[low]);
  const std::int64_t part = pressure_pa - table.pressure_pa[low];
  const std::int64_t whole = table.pressure_pa[low + 1] - table.pressure_pa[low];
  return static_cast<std::int32_t>(
      root_of(square(table.flow_mm3ps[low]) + divide_rounded(squares * part, whole)));
}

std::int64_t root_of(std::int64_t n) {
  if (n <= 0) return 0;
  std::int64_t root = 0;
  std::int64_t rest = n;
  for (std::int64_t bit = std::int64_t{1} << 62; bit != 0; bit >>= 2) {
    if (rest >= root + bit) {
      rest -= root + bit;
      root = (root >> 1) + bit;
    } else {
      root >>= 1;
    }
  }
  return root;
}

std::int32_t wanted_flow_mm3ps(std::int32_t rate_nm, std::int32_t width_um,
                               std::int32_t speed_umps) {
  if (speed_umps <= 0) return 0;
  const std::int64_t area_rate = std::int64_t{rate_nm} * width_um / 1000;  // 1e-12 m2/s per um/s
  return saturated(divide_rounded(area_rate * speed_umps, 1'000'000'000));
}

std::int32_t trimmed_mm3ps(std::int32_t flow_mm3ps, std::int32_t trim_q16) {
  return saturated(divide_rounded(std::int64_t{flow_mm3ps} * (65'536 + trim_q16), 65'536));
}

}  // namespace controller
