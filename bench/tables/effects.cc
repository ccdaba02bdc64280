// What rise, turbulence, creep and free gas do to a band at 16 km/h: the table of model/README.md.
//
// Each line is the band with the effect less the band without it, on the base case. The numbers of
// the walls are inventions.
#include <cstdio>
#include <utility>

#include "bench/tables/tables.h"
#include "model/fluid/wave_speed.h"
#include "tests/support/fast_cases.h"

namespace bench {
namespace {

using model::BandShape;
using model::GasPlace;
using model::Liquid;
using model::RowUnitParams;
using model::SolverParams;

void print_effect(const char* name, const RowUnitParams& without, const RowUnitParams& with,
                  const SolverParams& solver_without) {
  std::printf("| %s |", name);
  for (const int pulses : {1, 4}) {
    support::BandCase one{.name = {},
                          .row = without,
                          .supply_pressure_pa = 3e5,
                          .rate_hz = 30.0,
                          .on_s = 16.9e-3,
                          .pulses = pulses};
    const BandShape a = support::last_band(one, solver_without);
    one.row = with;
    const BandShape b = support::last_band(one, SolverParams{});
    std::printf(" %+.2f / %+.2f / %+.2f | %+.2f |", 1e3 * (b.start_x_ground_m - a.start_x_ground_m),
                1e3 * (b.end_x_ground_m - a.end_x_ground_m),
                1e3 * (b.centre_x_ground_m - a.centre_x_ground_m),
                100.0 * (b.dose_m3 / a.dose_m3 - 1.0));
  }
  std::printf("\n");
}

}  // namespace

void print_effects() {
  const RowUnitParams base = support::base_row();
  const SolverParams solver;
  std::printf(
      "| | one pulse: start / end / centre mm | dose %% | fourth at 30 Hz, mm | dose %% |\n");
  const auto changed = [&](const char* name, auto&& change) {
    RowUnitParams row = base;
    change(row);
    print_effect(name, base, row, solver);
  };
  changed("hose rises 0.5 m", [](RowUnitParams& row) { row.hose.rise_m = 0.5; });
  changed("tube rises 0.5 m", [](RowUnitParams& row) { row.tube.rise_m = 0.5; });
  changed("tube falls 0.5 m", [](RowUnitParams& row) { row.tube.rise_m = -0.5; });
  RowUnitParams water = base;
  water.liquid = Liquid{};
  SolverParams laminar;
  laminar.turbulence = false;
  print_effect("turbulence, water", water, water, laminar);
  // A wall like PVC, 400 m/s in this liquid when it does not creep; creep adds a third to it.
  RowUnitParams elastic = base;
  elastic.tube.wall = {.thickness_m = 1e-3, .modulus_pa = 1.12e9, .poisson_ratio = 0.45};
  finish_line(elastic.tube, elastic.liquid, elastic.atmosphere_pa);
  RowUnitParams creeping = elastic;
  creeping.tube.creep = {{.compliance_ppa = 1e-10, .time_s = 2e-3},
                         {.compliance_ppa = 1e-10, .time_s = 20e-3},
                         {.compliance_ppa = 1e-10, .time_s = 200e-3}};
  print_effect("creep of the tube", elastic, creeping, solver);
  for (const auto& [name, place] : {std::pair{"5 mm3 gas at the valve exit", GasPlace::kValveExit},
                                    std::pair{"5 mm3 gas at the middle", GasPlace::kMiddle},
                                    std::pair{"5 mm3 gas at the outlet", GasPlace::kOutlet}})
    changed(name, [p = place](RowUnitParams& row) { row.gas = {.volume_m3 = 5e-9, .place = p}; });
}

}  // namespace bench
