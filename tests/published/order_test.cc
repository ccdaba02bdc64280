// Observed order of convergence of the whole scheme: smooth drive, impact of the plunger, collapse
// of a cavity. Each error is against an exact answer or, where there is none, against the finest
// step.
//
// Source   theory of such schemes: second order for smooth drive, 3/2 with the memory's root
//          singularity, first where events (impact, collapse) fall inside a step unless located
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <complex>

#include "tests/published/rig_setups.h"

namespace {

using published::run_setup;

double order_of(double coarse, double fine) { return std::log2(coarse / fine); }

double amplitude(const sim::rig::RigSeries& series, const std::vector<double>& values, double hz) {
  double sine = 0.0, cosine = 0.0;
  const std::size_t last = 600;
  const std::size_t from = values.size() - 1 - last;
  for (std::size_t i = from; i < from + last; ++i) {
    const double angle_rad = 2.0 * shared::kPi_ratio * hz * series.time_s[i];
    sine += values[i] * std::sin(angle_rad);
    cosine += values[i] * std::cos(angle_rad);
  }
  return std::hypot(sine, cosine);
}

constexpr double kDrive_hz = 100.0;

std::vector<double> gain_errors(const char* friction, double exact_ratio) {
  std::vector<double> errors;
  for (const char* step : {"300 us", "150 us", "75 us"}) {
    const auto result =
        run_setup("response_viscous",
                  {std::string("solver.step=\"") + step + "\"", "record.duration=\"400 ms\"",
                   "record.every=\"100 us\"", std::string("solver.friction=\"") + friction + "\""});
    errors.push_back(
        std::abs(amplitude(result.series, result.series.outlet_pressure_pa, kDrive_hz) /
                     amplitude(result.series, result.series.inlet_pressure_pa, kDrive_hz) -
                 exact_ratio));
    printf("smooth drive  %-12s step %-7s error of gain %.6f\n", friction, step, errors.back());
  }
  printf("smooth drive  %-12s order %.2f, %.2f\n", friction, order_of(errors[0], errors[1]),
         order_of(errors[1], errors[2]));
  return errors;
}

// Friction without memory: P2/P1 = 1/cosh((L/a) sqrt(s (s + 8 nu/r^2))), exact. Second order.
TEST(Order, SmoothDriveWithoutMemory) {
  const std::complex<double> s_radps(0.0, 2.0 * shared::kPi_ratio * kDrive_hz);
  const double rate_ps = 8.0 * 50e-6 / (2e-3 * 2e-3);
  const double exact_ratio =
      std::abs(1.0 / std::cosh(0.6 / 400.0 * std::sqrt(s_radps * (s_radps + rate_ps))));
  const std::vector<double> errors = gain_errors("quasi-steady", exact_ratio);
  EXPECT_GE(order_of(errors[0], errors[2]) / 2.0, 1.8);
}

// With memory (table of frequency_response_test.cc: 1.910155) the kernel's root singularity at zero
// time leaves a part of order 3/2.
TEST(Order, SmoothDriveWithMemory) {
  const std::vector<double> errors = gain_errors("exact", 1.910155);
  EXPECT_GE(order_of(errors[0], errors[2]) / 2.0, 1.5);
}

// Centroid of one dense pulse at 16 km/h: coil, plunger with impacts on stop and seat, column.
TEST(Order, Impact) {
  std::vector<double> centroids_mm;
  for (const char* step : {"40 us", "20 us", "10 us", "1.25 us"}) {
    const auto result = sim::rig::run_rig(sim::rig::load_rig_setup(
        std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_rig.toml",
        {std::string("solver.step=\"") + step + "\"", "solver.dense=true", "drive.pulses=1",
         "record.duration=\"60 ms\"", "record.every=\"1 ms\""}));
    centroids_mm.push_back(result.pulses[0].centroid_x_m * 1e3);
  }
  std::vector<double> errors_mm;
  for (std::size_t i = 0; i < 3; ++i)
    errors_mm.push_back(std::abs(centroids_mm[i] - centroids_mm.back()));
  printf("impact        error of centroid %.4f, %.4f, %.4f mm at 40, 20, 10 us: order %.2f, %.2f\n",
         errors_mm[0], errors_mm[1], errors_mm[2], order_of(errors_mm[0], errors_mm[1]),
         order_of(errors_mm[1], errors_mm[2]));
  // Impacts, the diode's zero and the drive's limit are located, so what is left is small, and its
  // sign changes from step to step: an envelope of first order bounds it.
  for (std::size_t i = 0; i < 3; ++i) EXPECT_LT(errors_mm[i], 0.03 / static_cast<double>(1 << i));
}

// r = 2.43: the collapse falls inside a step of every grid. Exact: T (m + m (r - m)/(2 m + 1 - r)).
TEST(Order, Collapse) {
  const double r = 2.43, m = 2.0;
  const double exact_s = 8e-3 * (m + m * (r - m) / (2.0 * m + 1.0 - r));
  const double unit_ml = 15.707963267948966;
  std::vector<double> errors_s;
  for (const double step_us : {160.0, 80.0, 40.0, 20.0}) {
    const auto result = run_setup(
        "cavity", {"inlet.values=[\"" + std::to_string(r * unit_ml) + " ml/s\", \"0 ml/s\"]",
                   "solver.step=\"" + std::to_string(step_us) + " us\"", "record.every=\"1 us\"",
                   "record.duration=\"24 ms\""});
    // The cavity's volume falls straight to zero: the line through its last two points gives the
    // instant.
    const sim::rig::RigSeries& series = result.series;
    std::size_t last = 0;
    for (std::size_t i = 0; i < series.time_s.size(); ++i)
      if (series.valve_cavity_m3[i] > 0.0) last = i;
    errors_s.push_back(std::abs(series.time_s[last] - exact_s));
    printf("collapse      step %5.0f us  error %.2f us\n", step_us, errors_s.back() * 1e6);
  }
  const double order = order_of(errors_s.front(), errors_s.back()) / 3.0;
  printf("collapse      mean order %.2f\n", order);
  for (std::size_t i = 0; i < errors_s.size(); ++i)
    EXPECT_LE(errors_s[i], 1.01 * 160e-6 / std::pow(2.0, static_cast<double>(i)));
}

}  // namespace
