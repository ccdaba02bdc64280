// A sine drives one end of a line: gain and phase to a closed end, impedance against a constant
// pressure. Setups: tests/published/setups/response_*.toml.
//
// Source   exact distributed line: F. T. Brown 1962, A. F. D'Souza and R. Oldenburger 1964 (from
//          memory; re-derived). Tables computed outside this program to 25 digits: 1/cosh G and
//          Zc tanh G over rho a / A. At the resonances 166.7 and 500 Hz the tolerance is 1.5 % and
//          0.5 degree, elsewhere 0.2 % and 0.1 degree.
#include <gtest/gtest.h>

#include <cmath>
#include <complex>

#include "tests/published/rig_setups.h"

namespace {

using Complex = std::complex<double>;

struct Point {
  double hz;
  double gain, gain_deg;            // P2/P1 of the closed line
  double impedance, impedance_deg;  // P1/Q1 over rho a / A, constant pressure at the end
};

const std::vector<Point> kWater{{10, 1.004854, -0.026, .103384, 84.630},
                                {50, 1.127714, -0.293, .532044, 87.463},
                                {100, 1.732721, -1.111, 1.435571, 87.514},
                                {500.0 / 3.0, 40.684548, -134.374, 41.132499, -44.991},
                                {250, 1.384748, -178.823, .967402, -88.059},
                                {500, 23.598314, 45.347, 23.748168, -44.966}};
const std::vector<Point> kViscous{{10, 1.005908, -0.415, .198580, 38.965},
                                  {50, 1.156311, -2.961, .687690, 69.360},
                                  {100, 1.910155, -10.854, 1.829846, 68.964},
                                  {500.0 / 3.0, 5.387934, -130.642, 5.836540, -44.452},
                                  {250, 1.218046, -172.950, .803075, -74.114},
                                  {500, 3.212436, 46.723, 3.376376, -43.203}};

// Amplitude and phase of one frequency over whole periods at the record's end.
Complex phasor(const sim::rig::RigSeries& series, const std::vector<double>& values, double hz,
               std::size_t last) {
  Complex sum = 0.0;
  const std::size_t from = series.time_s.size() - 1 - last;
  // A mean flow that the start has left fades slowly: over whole periods it is nearly a straight
  // line.
  const double trend = (values[from + last] - values[from]) / static_cast<double>(last);
  for (std::size_t i = from; i + 1 < series.time_s.size(); ++i)
    sum += (values[i] - trend * static_cast<double>(i - from)) *
           std::polar(1.0, -2.0 * shared::kPi_ratio * hz * series.time_s[i]);
  return 2.0 * sum / static_cast<double>(last);
}

void compare(const std::string& setup, const std::vector<Point>& table, double settle_s) {
  constexpr int kPeriods = 5, kPoints = 60;
  for (const Point& point : table) {
    const double every_s = 1.0 / (point.hz * kPoints);
    const double duration_s =
        std::ceil(settle_s * point.hz + 10.0) / point.hz + (kPeriods + 0.5) / point.hz;
    const auto text = [](double value) { return std::to_string(value * 1e9) + " ns"; };
    const std::vector<std::string> sets{
        "inlet.frequency=\"" + std::to_string(point.hz * 1e9) + "e-9 Hz\"",
        "record.every=\"" + text(every_s) + "\"", "record.duration=\"" + text(duration_s) + "\""};
    const auto closed = published::run_setup(setup, sets);
    auto open_sets = sets;
    open_sets.insert(open_sets.end(), {"outlet.kind=\"pressure\"", "outlet.value=\"0 bar\""});
    const auto open = published::run_setup(setup, open_sets);
    const std::size_t last = kPeriods * kPoints;
    const Complex gain = phasor(closed.series, closed.series.outlet_pressure_pa, point.hz, last) /
                         phasor(closed.series, closed.series.inlet_pressure_pa, point.hz, last);
    const model::Line& tube = open.setup.part.tube;
    const double z_paspm3 =
        open.setup.liquid.liquid.density_kgpm3 * tube.wave_speed_mps / published::area_m2(open);
    const Complex impedance = phasor(open.series, open.series.inlet_pressure_pa, point.hz, last) /
                              phasor(open.series, open.series.inlet_flow_m3ps, point.hz, last) /
                              z_paspm3;
    const bool resonance = std::abs(std::fmod(point.hz, 1000.0 / 3.0) - 500.0 / 3.0) < 1.0;
    const double size_ratio = resonance ? 0.015 : 0.002;
    const double angle_deg = resonance ? 0.5 : 0.1;
    const auto degrees = [](Complex value) { return std::arg(value) * 180.0 / shared::kPi_ratio; };
    printf("%-17s %7.2f Hz  gain %+.5f %+.3f deg  impedance %+.5f %+.3f deg (off the table)\n",
           setup.c_str(), point.hz, std::abs(gain) / point.gain - 1.0,
           std::remainder(degrees(gain) - point.gain_deg, 360.0),
           std::abs(impedance) / point.impedance - 1.0,
           std::remainder(degrees(impedance) - point.impedance_deg, 360.0));
    EXPECT_NEAR(std::abs(gain) / point.gain, 1.0, size_ratio) << setup << " " << point.hz;
    EXPECT_NEAR(std::remainder(degrees(gain) - point.gain_deg, 360.0), 0.0, angle_deg);
    EXPECT_NEAR(std::abs(impedance) / point.impedance, 1.0, size_ratio) << setup << " " << point.hz;
    EXPECT_NEAR(std::remainder(degrees(impedance) - point.impedance_deg, 360.0), 0.0, angle_deg);
  }
}

TEST(FrequencyResponse, Water) { compare("response_water", kWater, 1.5); }
TEST(FrequencyResponse, FiftyTimesAsViscous) { compare("response_viscous", kViscous, 0.2); }

}  // namespace
