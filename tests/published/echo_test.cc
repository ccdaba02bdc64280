// Lossless echoes after a valve shuts at once: chains that can be worked by hand. Setups:
// tests/published/setups/echo_*.toml.
//
// Source   linear end: reflection (R - Z)/(R + Z), waterhammer texts; orifice end: L. Allievi 1902
//          (from memory): each echo solves p + Z q = const with p = k q|q|. Rigid column: textbook.
#include <gtest/gtest.h>

#include <cmath>

#include "tests/published/rig_setups.h"

namespace {

using published::run_setup;

constexpr int kEchoes = 20;
constexpr double kTravel_s = 1.5e-3;  // L/a of the setups

// The middle of every echo interval n: from 2 n L/a to 2 (n + 1) L/a.
std::vector<std::string> at_middles() {
  std::string at = "record.at=[";
  for (int n = 0; n < kEchoes; ++n)
    at += (n == 0 ? "\"" : ", \"") + std::to_string(1e3 * kTravel_s * (2 * n + 1)) + " ms\"";
  return {at + "]"};
}

double impedance_paspm3(const sim::rig::RigResult& result) {
  return result.setup.liquid.liquid.density_kgpm3 * result.setup.part.tube.wave_speed_mps /
         published::area_m2(result);
}

TEST(Echo, LinearEnd) {
  const auto result = run_setup("echo_linear", at_middles());
  const double flow_m3ps = 10e-6, end_paspm3 = 6e10;
  const double z_paspm3 = impedance_paspm3(result);
  const double r_ratio = (end_paspm3 - z_paspm3) / (end_paspm3 + z_paspm3);
  double sum_ratio = 1.0, power_ratio = 1.0;
  for (int n = 0; n < kEchoes; ++n) {
    if (n > 0) sum_ratio += 2.0 * (power_ratio *= r_ratio);
    const double wanted_pa = end_paspm3 * flow_m3ps - z_paspm3 * flow_m3ps * sum_ratio;
    EXPECT_NEAR(
        result.series.inlet_pressure_pa[static_cast<std::size_t>(n)] / (end_paspm3 * flow_m3ps),
        wanted_pa / (end_paspm3 * flow_m3ps), 1e-12)
        << n;
  }
}

// The wave that leaves the shut valve, F = p, reaches the outlet with F = p_o + Z q_o; what comes
// back is G = p_o - Z q_o, and at the shut valve p = G = F of the next round.
TEST(Echo, OrificeEnd) {
  const auto result = run_setup("echo_root", at_middles());
  const double flow_m3ps = 10e-6, drop_pa = 2e5;
  const double k_pas2pm6 = drop_pa / (flow_m3ps * flow_m3ps);
  const double z_paspm3 = impedance_paspm3(result);
  double valve_pa = drop_pa - z_paspm3 * flow_m3ps;  // first interval: G of the steady flow
  for (int n = 0; n < kEchoes; ++n) {
    EXPECT_NEAR(result.series.inlet_pressure_pa[static_cast<std::size_t>(n)] / drop_pa,
                valve_pa / drop_pa, 1e-10)
        << n;
    // k q|q| + Z q = F by the textbook quadratic.
    const double size_m3ps =
        (-z_paspm3 + std::sqrt(z_paspm3 * z_paspm3 + 4.0 * k_pas2pm6 * std::abs(valve_pa))) /
        (2.0 * k_pas2pm6);
    const double q_m3ps = valve_pa < 0.0 ? -size_m3ps : size_m3ps;
    valve_pa -= 2.0 * z_paspm3 * q_m3ps;
  }
}

// Courant 1 without friction is exact: a stopped column against a constant pressure keeps its
// square wave over a thousand echoes.
TEST(Echo, AThousandEchoesLoseNothing) {
  const auto result =
      run_setup("stop_water", {"solver.friction=\"none\"",
                               "record.at=[\"1.5 ms\", \"4.5 ms\", \"3001.5 ms\", \"3004.5 ms\"]"});
  const double step_pa = impedance_paspm3(result) * 0.1e-6;
  const std::vector<double>& p_pa = result.series.inlet_pressure_pa;
  EXPECT_NEAR(p_pa[0] / step_pa, -1.0, 1e-13);
  EXPECT_NEAR(p_pa[1] / step_pa, 1.0, 1e-13);
  EXPECT_NEAR(p_pa[2] / step_pa, -1.0, 1e-13);
  EXPECT_NEAR(p_pa[3] / step_pa, 1.0, 1e-13);
}

// V/Vf = tanh(t/ts), ts = rho L Vf/dp. The flow at the inlet climbs in stairs of 2 L/a; the middle
// of a tread lies on the rigid column's curve.
TEST(Echo, ARigidColumnAgainstAnOrifice) {
  const auto result = run_setup("column_orifice");
  const double speed_mps = 25.1327412287183e-6 / published::area_m2(result);
  const double start_s = 1000.0 * 0.05 * speed_mps / 1e4;
  const double travel_s = 25e-6;
  int compared = 0;
  for (std::size_t i = 1; i < result.series.time_s.size(); ++i) {
    const double t_s = result.series.time_s[i];
    const double treads_ratio = (t_s / travel_s - 1.0) / 2.0;
    if (std::abs(treads_ratio - std::round(treads_ratio)) > 1e-6) continue;
    ++compared;
    EXPECT_NEAR(result.series.inlet_flow_m3ps[i] / 25.1327412287183e-6, std::tanh(t_s / start_s),
                2e-3)
        << t_s;
  }
  EXPECT_GT(compared, 10);
}

}  // namespace
