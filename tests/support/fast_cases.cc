#include "tests/support/fast_cases.h"

#include <algorithm>
#include <cmath>
#include <cstdio>

#include "shared/units.h"

namespace support {
namespace {

constexpr double kGroundSpeed_mps = 16.0 * shared::kKilometrePerHour_mps;
constexpr double kFirstCommand_s = 2e-3;

std::string name_of(bool wide, double viscosity_pas, double hose_m, const std::string& pulses) {
  char text[96];
  std::snprintf(text, sizeof text, "%s tube, %2.0f mPa s, hose %.1f m, %s", wide ? "8 mm" : "4 mm",
                1e3 * viscosity_pas, hose_m, pulses.c_str());
  return text;
}

}  // namespace

model::SolverParams dense_at(std::int64_t step_ns) {
  model::SolverParams solver;
  solver.form = model::LineForm::kDense;
  solver.step_ns = step_ns;
  return solver;
}

void WorstBand::take(const BandCase& one, const model::BandShape& found,
                     const model::BandShape& exact) {
  const double distance_m = band_distance_m(found, exact);
  double& worst_m = one.short_band ? short_m : long_m;
  worst_m = std::max(worst_m, distance_m);
  if (!one.short_band)
    dose_ratio = std::max(dose_ratio, std::abs(found.dose_m3 / exact.dose_m3 - 1.0));
}

model::RowUnitParams wide_row() {
  model::RowUnitParams row = base_row();
  row.liquid.density_kgpm3 = 1300.0;
  row.tube = {.length_m = 0.3, .bore_m = 8e-3, .wave_speed_mps = 400.0};
  row.outlet.bore_m = 1.7e-3;
  return row;
}

std::vector<BandCase> band_cases() {
  std::vector<BandCase> cases;
  for (const bool wide : {false, true})
    for (const double viscosity_pas : {1.0016e-3, 10e-3, 60e-3})
      for (const double hose_m : {0.3, 1.0}) {
        BandCase one{.name = {},
                     .row = wide ? wide_row() : base_row(),
                     .supply_pressure_pa = wide ? 5e5 : 3e5,
                     .rate_hz = 30.0,
                     .on_s = 16.9e-3,
                     .pulses = 1,
                     .short_band = false};
        if (viscosity_pas < 2e-3) one.row.liquid = model::Liquid{};
        one.row.liquid.viscosity_pas = viscosity_pas;
        one.row.hose.length_m = hose_m;
        const auto add = [&](const char* pulses) {
          one.name = name_of(wide, viscosity_pas, hose_m, pulses);
          cases.push_back(one);
        };
        add("one pulse");
        one.pulses = 4;
        add("30 Hz");
        if (viscosity_pas != 10e-3) continue;
        one.on_s = 20e-3 / kGroundSpeed_mps;
        one.short_band = true;
        one.rate_hz = 45.0;
        one.pulses = 5;
        add("20 mm at 45 Hz");
        one.rate_hz = 90.0;
        one.pulses = 8;
        add("20 mm at 90 Hz");
      }
  return cases;
}

model::BandShape last_band(const BandCase& band_case, const model::SolverParams& solver) {
  std::vector<OnOff> pulses;
  for (int k = 0; k < band_case.pulses; ++k) {
    const double on_s = kFirstCommand_s + k / band_case.rate_hz;
    pulses.push_back({.on_s = on_s, .off_s = on_s + band_case.on_s});
  }
  const double travel_s = band_case.row.tube.length_m / band_case.row.tube.wave_speed_mps;
  const double from_s = pulses.back().on_s + 0.9 * travel_s;
  const double to_s = pulses.back().on_s + 1.0 / band_case.rate_hz + 0.9 * travel_s;
  const auto outlet =
      drive_row(band_case.row, solver, band_case.supply_pressure_pa, 12.0, pulses, to_s + 1e-4);
  return band_of(outlet, band_case.row, from_s, to_s, kGroundSpeed_mps, {});
}

}  // namespace support
