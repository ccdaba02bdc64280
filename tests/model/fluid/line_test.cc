#include "model/fluid/line.h"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "shared/units.h"

namespace model {
namespace {

const Line kTube = {.length_m = 0.8, .bore_m = 4e-3, .wave_speed_mps = 400.0};
const Liquid kThick = {.density_kgpm3 = 1200.0, .viscosity_pas = 10e-3};
constexpr double kStep_s = 1e-5;
constexpr int kCells = 200;

LinePlan<double> plan_with_part(int cells, double part_ratio, int stations,
                                WallFriction friction = WallFriction::kNone,
                                bool cavities = false) {
  const auto kernel = fit_kernel(6, 8.3e-6 * kStep_s / 4e-6);
  return make_line_plan(kTube, kThick,
                        {.cells = cells,
                         .part_cell_ratio = part_ratio,
                         .stations = stations,
                         .step_s = kStep_s,
                         .friction = friction,
                         .kernel = kernel,
                         .cavities = cavities,
                         .vapour_pressure_pa = -99000.0});
}

LinePlan<double> plan_with(int stations, WallFriction friction, bool cavities = false) {
  return plan_with_part(kCells, 0.0, stations, friction, cavities);
}

/// Inlet: pressure. Outlet: flow. One step; returns the inlet's flow.
double step_between(const LinePlan<double>& plan, LineState<double>& state, double inlet_pa,
                    double outlet_m3ps) {
  const auto in = arrivals(plan, state);
  const double z_paspm3 = plan.impedance_paspm3;
  depart(plan, state,
         {.at_inlet_pa = 2.0 * inlet_pa - in.at_inlet_pa,
          .at_outlet_pa = in.at_outlet_pa - 2.0 * z_paspm3 * outlet_m3ps});
  return (inlet_pa - in.at_inlet_pa) / z_paspm3;
}

// Courant number 1: a wave crosses in exactly `cells` steps and keeps its height.
TEST(Line, WaveCrossesInWholeStepsUnchanged) {
  for (const int stations : {0, 1, 3, 12, kCells - 1}) {
    const auto plan = plan_with(stations, WallFriction::kNone);
    auto state = still_line(plan, 0.0);
    for (int step = 0; step < kCells; ++step) {
      EXPECT_EQ(arrivals(plan, state).at_outlet_pa, 0.0) << stations << " at " << step;
      depart(plan, state, {.at_inlet_pa = 1e5, .at_outlet_pa = 0.0});
    }
    EXPECT_NEAR(arrivals(plan, state).at_outlet_pa, 1e5, 1e-8) << stations;
  }
}

// What leaves one end in one step arrives at the other whole, and at L/a in the mean.
TEST(Line, APartOfACellDelaysByItsTimeAndLosesNothing) {
  for (const int stations : {0, 1, 3, 7, 14})
    for (const double part_ratio : {0.25, 0.5, 0.9})
      for (const bool downstream : {true, false}) {
        const auto plan = plan_with_part(15, part_ratio, stations);
        auto state = still_line(plan, 0.0);
        double sum_pa = 0.0, moment_pa = 0.0;
        for (int step = 0; step < 40; ++step) {
          const auto in = arrivals(plan, state);
          const double arrived_pa = downstream ? in.at_outlet_pa : in.at_inlet_pa;
          sum_pa += arrived_pa;
          moment_pa += step * arrived_pa;
          const double sent_pa = step == 0 ? 1e5 : 0.0;
          depart(plan, state,
                 {.at_inlet_pa = downstream ? sent_pa : 0.0,
                  .at_outlet_pa = downstream ? 0.0 : sent_pa});
        }
        EXPECT_NEAR(sum_pa, 1e5, 1e-8) << stations;
        EXPECT_NEAR(moment_pa / sum_pa, 15.0 + part_ratio, 1e-12) << stations;
      }
}

// |H|^2 = 1 - 4 c (1 - c) sin^2(pi f dt), first-order interpolation: Laakso et al. 1996, section 3.
TEST(Line, APartOfACellTakesTheStatedShareOfAFastWave) {
  constexpr int kPeriod = 25;  // steps: 4 kHz at this step
  for (const double part_ratio : {0.0, 0.2, 0.5, 0.8}) {
    const auto plan = plan_with_part(15, part_ratio, 3);
    auto state = still_line(plan, 0.0);
    double cosine_pa = 0.0, sine_pa = 0.0;
    for (int step = 0; step < 8 * kPeriod; ++step) {
      const double angle_rad = 2.0 * shared::kPi_ratio * step / kPeriod;
      const double arrived_pa = arrivals(plan, state).at_outlet_pa;
      if (step >= 4 * kPeriod) {
        cosine_pa += arrived_pa * std::cos(angle_rad) / (2.0 * kPeriod);
        sine_pa += arrived_pa * std::sin(angle_rad) / (2.0 * kPeriod);
      }
      depart(plan, state, {.at_inlet_pa = 1e5 * std::cos(angle_rad), .at_outlet_pa = 0.0});
    }
    const double sine = std::sin(shared::kPi_ratio / kPeriod);
    const double height_ratio =
        std::sqrt(1.0 - 4.0 * part_ratio * (1.0 - part_ratio) * sine * sine);
    EXPECT_NEAR(std::hypot(cosine_pa, sine_pa), 1e5 * height_ratio, 1e-6) << part_ratio;
  }
}

// Neighbours of one machine differ by a few cells; the stations stand alike in all of them.
TEST(Line, StationsStandAsInTheLayout) {
  const auto placed = [](int cells, int layout_cells) {
    return make_line_plan(
        kTube, kThick,
        {.cells = cells, .stations = 5, .step_s = kStep_s, .layout_cells = layout_cells});
  };
  const auto layout = placed(40, 0);
  for (const int cells : {37, 39, 40, 41, 44}) {
    const auto plan = placed(cells, 40);
    EXPECT_EQ(plan.stations, layout.stations);
    EXPECT_EQ(plan.inlet_delay, layout.inlet_delay);
    EXPECT_EQ(plan.middle_delay, layout.middle_delay);
    EXPECT_EQ(plan.longest_delay, layout.longest_delay);
    EXPECT_EQ(plan.outlet_delay, layout.outlet_delay + cells - 40);
  }
  // Too short for these stations: the line has a layout of its own.
  const auto short_line = placed(20, 40);
  EXPECT_LT(short_line.middle_delay, layout.middle_delay);
  EXPECT_GE(short_line.outlet_delay, 1);
}

TEST(Line, SteadyFlowLosesTheLaminarDropAndStaysSteady) {
  const double flow_m3ps = 8e-6;
  const double loss_pa = laminar_resistance_paspm3(kTube, kThick) * flow_m3ps;
  // 8 mu L / (pi r^4) by hand: 8 * 0.01 * 0.8 / (3.14159 * 1.6e-11) = 1.2732e9 Pa s / m3.
  EXPECT_NEAR(laminar_resistance_paspm3(kTube, kThick), 1.2732e9, 1e5);
  for (const int stations : {1, 4, 8, 12, kCells - 1}) {
    const auto plan = plan_with(stations, WallFriction::kUnsteady);
    auto state = steady_line(plan, 3e5, flow_m3ps);
    for (int step = 0; step < 3 * kCells; ++step) step_between(plan, state, 3e5, flow_m3ps);
    const double outlet_pa = arrivals(plan, state).at_outlet_pa - plan.impedance_paspm3 * flow_m3ps;
    EXPECT_NEAR(outlet_pa, 3e5 - loss_pa, 1e-3 * loss_pa * 1e-3) << stations;
  }
}

TEST(Line, StoredVolumeChangesByWhatFlowsInAndOut) {
  for (const int stations : {0, 5, 12, kCells - 1}) {
    const auto plan =
        plan_with_part(kCells, stations == 5 ? 0.0 : 0.37, stations, WallFriction::kUnsteady, true);
    auto state = still_line(plan, 2e5);
    const double before_m3 = line_stored_volume_m3(plan, state);
    double in_m3 = 0.0;
    double out_m3 = 0.0;
    double through_m3 = 0.0;
    for (int step = 0; step < 20000; ++step) {
      // Opens and shuts hard: cavities come and go.
      const double outlet_m3ps = step % 4000 < 1500 ? 9e-6 : 0.0;
      in_m3 += step_between(plan, state, 2e5, outlet_m3ps) * kStep_s;
      out_m3 += outlet_m3ps * kStep_s;
      through_m3 += outlet_m3ps * kStep_s;
    }
    const double change_m3 = line_stored_volume_m3(plan, state) - before_m3;
    EXPECT_NEAR(in_m3 - out_m3, change_m3, 1e-12 * through_m3) << stations;
  }
}

TEST(Line, BothDirectionsAreAlike) {
  // Stations stand symmetrically where the cells allow it; 200 cells and 4 stations do.
  const auto plan = plan_with(4, WallFriction::kUnsteady, true);
  auto forward = still_line(plan, 0.0);
  auto backward = still_line(plan, 0.0);
  for (int step = 0; step < 2000; ++step) {
    const auto f = arrivals(plan, forward);
    const auto b = arrivals(plan, backward);
    EXPECT_NEAR(f.at_outlet_pa, b.at_inlet_pa, 1e-6);
    EXPECT_NEAR(f.at_inlet_pa, b.at_outlet_pa, 1e-6);
    const double kick_pa = step < 50 ? 3e5 : 0.0;
    depart(plan, forward, {.at_inlet_pa = kick_pa, .at_outlet_pa = -0.7 * f.at_outlet_pa});
    depart(plan, backward, {.at_inlet_pa = -0.7 * b.at_inlet_pa, .at_outlet_pa = kick_pa});
  }
}

TEST(Line, SlosherLosesEnergyAndNeverGainsIt) {
  // Shut at the outlet, constant pressure at the inlet: sum of F^2 + G^2 in flight must fall.
  for (const int stations : {12, kCells - 1}) {
    const auto plan = plan_with(stations, WallFriction::kUnsteady);
    auto state = steady_line(plan, 0.0, 8e-6);
    double before = 1e300;
    for (int round = 0; round < 20; ++round) {
      for (int step = 0; step < 4 * kCells; ++step) step_between(plan, state, 0.0, 0.0);
      double energy = 0.0;
      for (const double wave_pa : state.downstream_pa) energy += wave_pa * wave_pa;
      for (const double wave_pa : state.upstream_pa) energy += wave_pa * wave_pa;
      EXPECT_LT(energy, before);
      before = energy;
    }
  }
}

// Both ends draw and tension meets inside: 12 stations, or 3, must find the vapour that a station
// in every cell finds, though most of it stands between them.
TEST(Line, VapourBetweenStationsIsThatOfEveryCell) {
  const auto pulled_m3 = [](int stations) {
    const auto plan = plan_with(stations, WallFriction::kUnsteady, true);
    auto state = still_line(plan, 0.0);
    double most_m3 = 0.0;
    for (int step = 0; step < 600; ++step) {
      const auto in = arrivals(plan, state);
      const double pull_pa = step < 300 ? -0.9e5 : 0.0;
      depart(plan, state,
             {.at_inlet_pa = 2.0 * pull_pa - in.at_inlet_pa,
              .at_outlet_pa = 2.0 * pull_pa - in.at_outlet_pa});
      most_m3 = std::max(most_m3, line_cavity_volume_m3(state));
    }
    return most_m3;
  };
  const double dense_m3 = pulled_m3(kCells - 1);
  EXPECT_GT(dense_m3, 1e-9);
  EXPECT_NEAR(pulled_m3(12) / dense_m3, 1.0, 0.03);
  EXPECT_NEAR(pulled_m3(3) / dense_m3, 1.0, 0.06);
}

TEST(Line, CavityTakesWhatTensionWouldHavePulledApart) {
  const auto plan = plan_with(kCells - 1, WallFriction::kNone, true);
  auto state = still_line(plan, 0.0);
  double most_m3 = 0.0;
  for (int step = 0; step < 400; ++step) {
    const auto in = arrivals(plan, state);
    depart(plan, state,
           {.at_inlet_pa = -1.8e5 - in.at_inlet_pa, .at_outlet_pa = -1.8e5 - in.at_outlet_pa});
    most_m3 = std::max(most_m3, line_cavity_volume_m3(state));
  }
  EXPECT_GT(most_m3, 0.0);
  // Both ends stop drawing: the cavities close and leave nothing behind.
  for (int step = 0; step < 4000; ++step) {
    const auto in = arrivals(plan, state);
    depart(plan, state, {.at_inlet_pa = 2e5, .at_outlet_pa = 2e5 - 0.0 * in.at_outlet_pa});
  }
  EXPECT_EQ(line_cavity_volume_m3(state), 0.0);
}

TEST(Line, FrictionAtStationsTendsToFrictionInEveryCell) {
  const auto dense = plan_with(kCells - 1, WallFriction::kUnsteady);
  const auto ring = [&](const LinePlan<double>& plan) {
    auto state = steady_line(plan, 1e5, 8e-6);
    std::vector<double> pressure_pa;
    for (int step = 0; step < 6 * kCells; ++step) {
      pressure_pa.push_back(arrivals(plan, state).at_outlet_pa);
      step_between(plan, state, 1e5, 0.0);
    }
    return pressure_pa;
  };
  const auto exact = ring(dense);
  double before_pa = 1e300;
  for (const int stations : {2, 8, 32}) {
    const auto rough = ring(plan_with(stations, WallFriction::kUnsteady));
    double sum_pa = 0.0;
    for (std::size_t i = 0; i < exact.size(); ++i) sum_pa += std::abs(rough[i] - exact[i]);
    EXPECT_LT(sum_pa, 0.6 * before_pa) << stations;
    before_pa = sum_pa;
  }
}

TEST(LineDeath, RefusesMoreStationsThanInnerNodes) {
  EXPECT_DEATH(plan_with(kCells, WallFriction::kNone), "precondition");
}

}  // namespace
}  // namespace model
