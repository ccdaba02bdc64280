// A rigid column swings under a sine of pressure, and a line at the lowest frequencies. Setup:
// tests/published/setups/column_swing.toml.
//
//   M = V/(K r^2/8 mu) = 8 [1 - 2 J1(x)/(x J0(x))]/(i al^2),  x = al i^{3/2},  al = r sqrt(w/nu)
//   s -> 0: Zc G = 8 mu L/(pi r^4) + (4/3) s rho L/A
//
// Source   J. R. Womersley 1955 (from memory), table computed outside this program; low-frequency
//          inertance 4/3: F. T. Brown 1962 (from memory, re-derived)
#include <gtest/gtest.h>

#include <cmath>
#include <complex>

#include "model/fluid/line.h"
#include "tests/published/rig_setups.h"

namespace {

using Complex = std::complex<double>;

struct Swing {
  double alpha, size, angle_deg;
};
const std::vector<Swing> kTable{
    {1, .985567, -9.4527},   {2, .824936, -33.2616},  {3, .548354, -54.3026},
    {4, .353099, -65.5683},  {5, .241795, -71.3528},  {7, .133490, -77.2015},
    {10, .069468, -81.3066}, {15, .032359, -84.3384}, {20, .018635, -85.8032}};

std::string ns(double time_s) { return "\"" + std::to_string(time_s * 1e9) + " ns\""; }

struct Ends {
  Complex pressure_pa, flow_m3ps;
  sim::rig::RigResult result;
};

// Five whole periods at the record's end, where the rest of the start's transient is a straight
// line.
Ends drive(double hz, double length_m, double step_s, double settle_s) {
  constexpr std::size_t kLast = 300;
  const double every_s = 1.0 / (60.0 * hz);
  const double periods = std::ceil(settle_s * hz) + 6.0;
  Ends ends{0.0, 0.0,
            published::run_setup("column_swing",
                                 {"inlet.frequency=\"" + std::to_string(hz * 1e9) + "e-9 Hz\"",
                                  "tube.length=\"" + std::to_string(length_m * 1e9) + "e-9 m\"",
                                  "solver.step=" + ns(step_s), "record.every=" + ns(every_s),
                                  "record.duration=" + ns((periods + 0.02) / hz)})};
  const sim::rig::RigSeries& series = ends.result.series;
  const auto phasor = [&](const std::vector<double>& values) {
    const std::size_t from = values.size() - 1 - kLast;
    const double trend = (values[from + kLast] - values[from]) / kLast;
    Complex sum = 0.0;
    for (std::size_t i = 0; i < kLast; ++i)
      sum += (values[from + i] - trend * static_cast<double>(i)) *
             std::polar(1.0, -2.0 * shared::kPi_ratio * hz * series.time_s[from + i]);
    return 2.0 * sum / static_cast<double>(kLast);
  };
  ends.pressure_pa = phasor(series.inlet_pressure_pa);
  ends.flow_m3ps = phasor(series.inlet_flow_m3ps);
  return ends;
}

TEST(Womersley, AmplitudeAndPhase) {
  const double nu_m2ps = 10e-6, radius_m = 2e-3;
  for (const Swing& swing : kTable) {
    const double w_radps = swing.alpha * swing.alpha * nu_m2ps / (radius_m * radius_m);
    const double travel_s = 2e-3 / w_radps;
    const Ends ends =
        drive(w_radps / (2.0 * shared::kPi_ratio), 1000.0 * travel_s, 0.5 * travel_s, 0.6);
    const model::Line& tube = ends.result.setup.part.tube;
    const Complex m = ends.flow_m3ps / ends.pressure_pa *
                      model::laminar_resistance_paspm3(tube, ends.result.setup.liquid.liquid);
    const double angle_deg = std::arg(m) * 180.0 / shared::kPi_ratio;
    printf("alpha %4.0f  %.6f (%.6f)  %.3f deg (%.3f)\n", swing.alpha, std::abs(m), swing.size,
           angle_deg, swing.angle_deg);
    EXPECT_NEAR(std::abs(m) / swing.size, 1.0, 0.002) << swing.alpha;
    EXPECT_NEAR(angle_deg, swing.angle_deg, 0.1) << swing.alpha;
  }
}

// al = 0.5: resistance within 1 %, inertance 4/3 of the plug's within 1 %; 1 without the profile.
TEST(Womersley, InertanceIsFourThirdsAtLowFrequency) {
  const double w_radps = 0.25 * 2.5;
  const Ends ends = drive(w_radps / (2.0 * shared::kPi_ratio), 1.0, 0.5e-3, 0.6);
  const Complex impedance = ends.pressure_pa / ends.flow_m3ps;
  const model::Line& tube = ends.result.setup.part.tube;
  const double steady_paspm3 =
      model::laminar_resistance_paspm3(tube, ends.result.setup.liquid.liquid);
  const double plug_paspm3 = w_radps * 1000.0 * tube.length_m / published::area_m2(ends.result);
  EXPECT_NEAR(impedance.real() / steady_paspm3, 1.0, 0.01);
  EXPECT_NEAR(impedance.imag() / plug_paspm3, 4.0 / 3.0, 0.0133);
}

}  // namespace
