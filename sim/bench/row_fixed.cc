#include "sim/bench/row_fixed.h"

#include "model/valve/copper.h"

namespace sim::bench {

model::RowUnitParams nominal_liquid_path(const scenario::Scenario& scenario) {
  model::RowUnitParams path;
  path.liquid = scenario.liquid.liquid;
  path.hose = scenario.attachment.hose;
  path.valve = scenario.attachment.valve;
  path.valve.wear = {};  // the table is taken of a new valve with a cold coil
  path.valve.coil.temperature_k = model::kTwentyCelsius_k;
  path.tube = scenario.attachment.tube;
  path.outlet = scenario.attachment.outlet;
  path.gas = {.volume_m3 = scenario.attachment.gas_volume_m3,
              .place = scenario.attachment.gas_place};
  return path;
}

RowFixed nominal_row(const scenario::Scenario& scenario, int row) {
  RowFixed fixed;
  fixed.y_unit_m = (row - 0.5 * (scenario.row.count - 1)) * scenario.row.width_m;
  fixed.liquid_path = nominal_liquid_path(scenario);
  return fixed;
}

RowFixed drawn_row(const scenario::Scenario& scenario, int row) {
  RowFixed fixed = nominal_row(scenario, row);
  const RandomStream stream{.rng_key = scenario.rng_key, .row = static_cast<std::uint32_t>(row)};
  const scenario::NoiseSection& noise = scenario.noise;
  const auto draw = [&](Purpose purpose) { return stream.normal_ratio(purpose, 0); };

  fixed.outlet_shift_m = noise.outlet_mount_m * draw(Purpose::kOutletMount);
  fixed.sensor_shift_m = noise.sensor_height_m * draw(Purpose::kSensorHeight);
  fixed.clock_drift_ratio = scenario.clock.drift_ratio * draw(Purpose::kClockDrift);
  model::RowUnitParams& path = fixed.liquid_path;
  path.valve.wear = scenario.attachment.valve.wear;
  path.valve.coil.temperature_k = scenario.attachment.valve.coil.temperature_k;
  path.outlet.bore_m *= 1.0 + noise.outlet_bore_ratio * draw(Purpose::kOutletBore);
  path.tube.layout_length_m = path.tube.length_m;
  path.tube.length_m += noise.tube_length_m * draw(Purpose::kTubeLength);
  path.valve.coil.resistance_ohm *=
      1.0 + noise.coil_resistance_ratio * draw(Purpose::kCoilResistance);
  path.valve.plunger.preload_n *= 1.0 + noise.spring_preload_ratio * draw(Purpose::kSpringPreload);
  return fixed;
}

}  // namespace sim::bench
