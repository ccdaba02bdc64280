#include "sim/bench/row_config.h"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <iterator>

#include "sim/scenario/table_seal.h"

namespace sim::bench {
namespace {

std::int32_t whole(double value) { return static_cast<std::int32_t>(std::llround(value)); }

// Full scales of the converters: twice what is expected leaves room for surges and still resolves a
// thousandth.
constexpr std::int32_t kPressureFullScale_pa = 1'600'000;
constexpr std::int32_t kVoltageFullScale_mv = 32'000;
constexpr std::int32_t kCurrentFullScale_ma = 8'000;

/// The table without what the scenario leaves out: rows trim by no opening that is not stated.
sillion_attachment_table loaded_table(const scenario::ControllerSection& stated,
                                      const sillion_attachment_table& table) {
  sillion_attachment_table left = table;
  if (!stated.opening_trim) std::fill(std::begin(left.opening_us), std::end(left.opening_us), 0);
  if (!stated.rest_correction) left.rest = {};
  // A check sum that is wrong stays wrong.
  const bool same = std::memcmp(&left, &table, sizeof left) == 0;
  return same || table.check_sum == 0 ? left : scenario::sealed_table(left);
}

sillion_config common_config(const scenario::Scenario& scenario,
                             const sillion_attachment_table& table) {
  sillion_config config{};
  config.rows = static_cast<std::uint32_t>(scenario.row.count);
  config.reset_cause = SILLION_RESET_POWER;
  config.row_width_um = whole(scenario.row.width_m * 1e6);
  config.theoretical_spacing_um = whole(scenario.seeding.meter.spacing_m * 1e6);
  config.band_length_um = whole(scenario.rate.band_length_m * 1e6);
  config.in_band_rate_nm = whole(scenario.rate.in_band_m3pm2 * 1e9);
  config.continuous = scenario.rate.continuous ? 1 : 0;
  config.seed_dwell_us = static_cast<std::uint32_t>(whole(scenario.sensor.sensor.dwell_s * 1e6));
  config.speed_timeout_ms =
      static_cast<std::uint32_t>(whole(scenario.controller.speed_timeout_s * 1e3));
  config.speed_lag_ms = whole(scenario.controller.speed_lag_compensation_s * 1e3);
  if (scenario.flow_meter.pulses_per_m3 > 0.0)
    config.meter_mm3_per_pulse =
        static_cast<std::uint32_t>(whole(1e9 / scenario.flow_meter.pulses_per_m3));
  config.pressure_max_pa = whole(scenario.supply.pressure_pa);
  const double entered_pas = scenario.controller.entered_viscosity_pas;
  config.liquid_viscosity_upas =
      whole((entered_pas > 0.0 ? entered_pas : scenario.liquid.liquid.viscosity_pas) * 1e6);
  config.analog_full_scale[0] = kPressureFullScale_pa;
  config.analog_full_scale[1] = kVoltageFullScale_mv;
  config.analog_full_scale[2] = kCurrentFullScale_ma;
  config.attachment = loaded_table(scenario.controller, table);
  return config;
}

}  // namespace

sillion_config row_config(const scenario::Scenario& scenario, int row,
                          const sillion_attachment_table& table, std::int32_t trim_um) {
  sillion_config config = common_config(scenario, table);
  config.role = SILLION_ROLE_ROW;
  config.row = static_cast<std::uint32_t>(row);
  config.row_y_mm = whole((row - 0.5 * (scenario.row.count - 1)) * scenario.row.width_m * 1e3);
  config.trim_um = trim_um;
  return config;
}

sillion_config machine_config(const scenario::Scenario& scenario,
                              const sillion_attachment_table& table) {
  sillion_config config = common_config(scenario, table);
  config.role = SILLION_ROLE_MACHINE;
  config.row = 0;  // not a row: the role says so
  return config;
}

}  // namespace sim::bench
