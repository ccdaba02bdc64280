#include "sim/measure/valve_life.h"

#include <algorithm>

namespace sim::measure {

namespace {

/// Also those whose bands were let go.
long long pulses_of(const RowRecord& row) {
  return row.first_band + static_cast<long long>(row.bands.size());
}

}  // namespace

bool wear_stated(const scenario::Scenario& scenario) {
  const model::Wear& wear = scenario.attachment.valve.wear;
  return wear.cycles_ratio > 0.0 || wear.volume_m3 > 0.0 || model::life_known(wear);
}

ValveLife valve_life(std::span<const RowRecord> rows, const scenario::Scenario& scenario,
                     double pressure_pa, double shortest_dose_m3) {
  model::Valve valve = scenario.attachment.valve;
  const model::Liquid& liquid = scenario.liquid.liquid;
  const auto most = std::max_element(
      rows.begin(), rows.end(),
      [](const RowRecord& a, const RowRecord& b) { return pulses_of(a) < pulses_of(b); });
  const double pulses_ratio = most == rows.end() ? 0.0 : static_cast<double>(pulses_of(*most));
  const double volume_m3 = most == rows.end() ? 0.0 : most->applied_volume_m3;
  valve.wear.cycles_ratio += pulses_ratio;
  valve.wear.volume_m3 += volume_m3;

  ValveLife life{.cycles_ratio = valve.wear.cycles_ratio, .volume_m3 = valve.wear.volume_m3};
  if (model::life_known(valve.wear))
    life.used_ratio = model::wear_share_ratio(valve.wear, liquid.abrasiveness_ratio);
  const double speed_mps = scenario.travel.speed_mps;
  const double rate_hz = speed_mps / scenario.seeding.meter.spacing_m;
  if (pulses_ratio > 0.0)
    life.left = model::life_left(valve.wear, liquid.abrasiveness_ratio,
                                 {.pulse_rate_hz = rate_hz,
                                  .dose_m3 = volume_m3 / pulses_ratio,
                                  .speed_mps = speed_mps,
                                  .width_m = scenario.row.width_m});
  life.leak_m3ps = model::leak_m3pspa(valve, liquid) * pressure_pa;
  life.pulse_rate_hz = rate_hz;
  life.smallest_m3 =
      model::smallest_dose_m3(life.leak_m3ps, std::max(0.0, shortest_dose_m3), rate_hz);
  return life;
}

}  // namespace sim::measure
