#include "tests/support/drive_row.h"

#include <algorithm>
#include <cmath>

#include "shared/check.h"

namespace support {

model::RowStepInput bridge_of(std::span<const OnOff> pulses, double from_s, double step_s,
                              double supply_pressure_pa, double supply_voltage_v) {
  model::RowStepInput input;
  input.supply_pressure_pa = supply_pressure_pa;
  input.supply_voltage_v = supply_voltage_v;
  const double to_s = from_s + step_s;
  double driven_s = 0.0;
  double idle_s = 0.0;  // nothing decays before the first pulse
  if (!pulses.empty()) idle_s = std::clamp(pulses.front().on_s - from_s, 0.0, step_s);
  for (const OnOff& pulse : pulses)
    driven_s += std::max(0.0, std::min(to_s, pulse.off_s) - std::max(from_s, pulse.on_s));
  // Sums of binary fractions may leave 1e-16 of a step; a share below 1e-9 is rounding, not a
  // command.
  const auto share_ratio = [step_s](double part_s) {
    const double ratio = std::clamp(part_s / step_s, 0.0, 1.0);
    return ratio < 1e-9 ? 0.0 : ratio > 1.0 - 1e-9 ? 1.0 : ratio;
  };
  input.drive_ratio = share_ratio(driven_s);
  input.fast_decay_ratio = share_ratio(step_s - driven_s - idle_s);
  return input;
}

std::vector<OutletSample> drive_row(const model::RowUnitParams& row,
                                    const model::SolverParams& solver, double supply_pressure_pa,
                                    double supply_voltage_v, std::span<const OnOff> pulses,
                                    double end_s) {
  model::RowUnit unit(row, solver, supply_pressure_pa);
  const double step_s = static_cast<double>(unit.fit().step_ns) * 1e-9;
  const auto steps = std::llround(end_s / step_s);
  std::vector<OutletSample> outlet;
  for (long long step = 0; step < steps; ++step) {
    const double from_s = static_cast<double>(step) * step_s;
    const auto output =
        unit.step(bridge_of(pulses, from_s, step_s, supply_pressure_pa, supply_voltage_v));
    EXPECTS(output.fault == model::RowFault::kNone);
    if (output.jet_volume_m3 > 0.0)
      outlet.push_back({from_s + 0.5 * step_s, output.jet_volume_m3, output.jet_speed_mps});
  }
  return outlet;
}

model::RowUnitParams base_row() {
  model::RowUnitParams row;
  row.liquid.density_kgpm3 = 1200.0;
  row.liquid.viscosity_pas = 10e-3;
  row.hose = {.length_m = 1.0, .bore_m = 6e-3, .wave_speed_mps = 500.0};
  row.tube = {.length_m = 0.9, .bore_m = 4e-3, .wave_speed_mps = 400.0};
  row.outlet.bore_m = 1e-3;
  return row;
}

double band_distance_m(const model::BandShape& a, const model::BandShape& b) {
  return std::max({std::abs(a.start_x_ground_m - b.start_x_ground_m),
                   std::abs(a.end_x_ground_m - b.end_x_ground_m),
                   std::abs(a.centre_x_ground_m - b.centre_x_ground_m)});
}

}  // namespace support
