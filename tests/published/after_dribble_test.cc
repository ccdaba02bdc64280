// What runs out after the upstream valve has shut is what the tube held: C (p0 - p_atm), whatever
// the waves do.
//
//   C = A L / (rho a^2), p0 the mean of the steady pressure along the tube, gauge; linear wall, no
//   cavity, and an outlet that passes liquid both ways. Nothing else can leave, so friction, kernel
//   and wave pattern drop out.
//
// Source   conservation of mass in a linear elastic tube; derived outside this program with the
//          table of capacities
#include <gtest/gtest.h>

#include <cmath>

#include "model/fluid/line.h"
#include "shared/units.h"

namespace model {
namespace {

struct Case {
  double wave_speed_mps;
  double viscosity_pas;
  WallFriction friction;
  int stations;
};

class AfterDribble : public testing::TestWithParam<Case> {};
class AfterDribbleOrifice : public testing::TestWithParam<Case> {};

// A multiple of four times the 8 stations, so that they stand symmetrically and their mean pressure
// is the tube's.
constexpr int kCells = 32;
constexpr double kFlow_m3ps = 1.0219e-5;

// Runs until the pressure waves are gone; outlet(F) answers an arriving wave with the flow that
// leaves.
template <class Outlet>
double dribble_m3(const LinePlan<double>& plan, LineState<double> state, long steps,
                  const Outlet& outlet) {
  double volume_m3 = 0.0;
  for (long step = 0; step < steps; ++step) {
    const auto waves = arrivals(plan, state);
    const double out_m3ps = outlet(waves.at_outlet_pa);
    volume_m3 += out_m3ps * plan.step_s;
    depart(plan, state,
           {.at_inlet_pa = waves.at_inlet_pa,
            .at_outlet_pa = waves.at_outlet_pa - 2.0 * plan.impedance_paspm3 * out_m3ps});
  }
  return volume_m3;
}

struct Tube {
  Line line;
  Liquid liquid;
  LinePlan<double> plan;
  double capacity_m3ppa = 0.0;
  double drop_pa = 0.0;
};

Tube tube_of(const Case& given) {
  Tube tube;
  tube.line = {.length_m = 0.6, .bore_m = 4e-3, .wave_speed_mps = given.wave_speed_mps};
  tube.liquid.viscosity_pas = given.viscosity_pas;
  tube.plan = make_line_plan(tube.line, tube.liquid,
                             {.cells = kCells,
                              .stations = given.stations,
                              .step_s = tube.line.length_m / (given.wave_speed_mps * kCells),
                              .friction = given.friction,
                              .kernel = published_kernel()});
  const double area_m2 = shared::kPi_ratio * 4e-6;
  tube.capacity_m3ppa = area_m2 * tube.line.length_m /
                        (tube.liquid.density_kgpm3 * given.wave_speed_mps * given.wave_speed_mps);
  if (given.friction != WallFriction::kNone)
    tube.drop_pa = laminar_resistance_paspm3(tube.line, tube.liquid) * kFlow_m3ps;
  return tube;
}

TEST_P(AfterDribble, ThroughALinearOutlet) {
  const Tube tube = tube_of(GetParam());
  const double resistor_paspm3 = 2e5 / kFlow_m3ps;
  const auto state = steady_line(tube.plan, 2e5 + tube.drop_pa, kFlow_m3ps);
  const double volume_m3 = dribble_m3(tube.plan, state, 20'000, [&](double f_pa) {
    return f_pa / (resistor_paspm3 + tube.plan.impedance_paspm3);
  });
  const double wanted_m3 = tube.capacity_m3ppa * (2e5 + 0.5 * tube.drop_pa);
  EXPECT_NEAR(volume_m3 / wanted_m3, 1.0, 1e-8);
}

// The resistance of a root outlet p = k Q |Q| vanishes as the waves get small; then friction takes
// over, so the dribble ends only with friction.
TEST_P(AfterDribbleOrifice, ThroughATwoWayOrifice) {
  const Tube tube = tube_of(GetParam());
  const double orifice_k = 2e5 / (kFlow_m3ps * kFlow_m3ps);
  const double impedance_paspm3 = tube.plan.impedance_paspm3;
  const auto state = steady_line(tube.plan, 2e5 + tube.drop_pa, kFlow_m3ps);
  const double volume_m3 = dribble_m3(tube.plan, state, 400'000, [&](double f_pa) {
    const double size_m3ps = 2.0 * std::abs(f_pa) /
                             (impedance_paspm3 + std::sqrt(impedance_paspm3 * impedance_paspm3 +
                                                           4.0 * orifice_k * std::abs(f_pa)));
    return f_pa < 0.0 ? -size_m3ps : size_m3ps;
  });
  const double wanted_m3 = tube.capacity_m3ppa * (2e5 + 0.5 * tube.drop_pa);
  EXPECT_NEAR(volume_m3 / wanted_m3, 1.0, 1e-8);
}

const auto kWithFriction = testing::Values(Case{100, 50e-3, WallFriction::kUnsteady, kCells - 1},
                                           Case{400, 50e-3, WallFriction::kUnsteady, kCells - 1},
                                           Case{400, 50e-3, WallFriction::kUnsteady, 8},
                                           Case{400, 50e-3, WallFriction::kQuasiSteady, kCells - 1},
                                           Case{1000, 10e-3, WallFriction::kUnsteady, 8});

INSTANTIATE_TEST_SUITE_P(WithFriction, AfterDribble, kWithFriction);
INSTANTIATE_TEST_SUITE_P(WithoutFriction, AfterDribble,
                         testing::Values(Case{400, 1e-3, WallFriction::kNone, 0}));
INSTANTIATE_TEST_SUITE_P(WithFriction, AfterDribbleOrifice, kWithFriction);

// Elastic volume stored at 2 bar in 0.6 m of 4 mm tube with water: 151.07, 37.767, 9.442, 1.511 ul
// (worked from C).
TEST(AfterDribbleTable, StoredVolumes) {
  const double table_ul[4][3] = {
      {100, 151.07, .005}, {200, 37.767, .0005}, {400, 9.442, .0005}, {1000, 1.511, .0005}};
  for (const auto& row : table_ul) {
    const Tube tube = tube_of({row[0], 1.0016e-3, WallFriction::kNone, 0});
    EXPECT_NEAR(line_stored_volume_m3(tube.plan, still_line(tube.plan, 2e5)) * 1e9, row[1], row[2]);
  }
}

}  // namespace
}  // namespace model
