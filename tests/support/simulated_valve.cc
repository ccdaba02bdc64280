#include "tests/support/simulated_valve.h"

#include <algorithm>
#include <array>
#include <boost/numeric/odeint/stepper/runge_kutta4.hpp>
#include <cmath>
#include <cstdio>
#include <numbers>

#include "tests/support/bench_trace.h"

namespace support {
namespace {

using State = std::array<double, 4>;  // current A, lift m, speed m/s, volume m3
constexpr double kStep_s = 10e-6;

double flow_m3ps(const SimulatedValve& valve, double lift_m) {
  if (lift_m <= 0.0) return 0.0;
  const double seat_m2 = valve.discharge_ratio * std::numbers::pi * valve.seat_m * lift_m;
  const double outlet_m2 =
      valve.discharge_ratio * std::numbers::pi / 4.0 * valve.outlet_m * valve.outlet_m;
  return std::sqrt(2.0 * valve.pressure_pa / valve.density_kgpm3 /
                   (1.0 / (seat_m2 * seat_m2) + 1.0 / (outlet_m2 * outlet_m2)));
}

State step(const SimulatedValve& valve, const State& from, double terminals_v) {
  boost::numeric::odeint::runge_kutta4<State> stepper;
  const auto rates = [&](const State& now, State& rate, double /*time_s*/) {
    const double force_n = valve.force_npa * now[0] - valve.preload_n - valve.spring_npm * now[1] -
                           valve.damping_nspm * now[2];
    const bool held = (now[1] <= 0.0 && force_n < 0.0 && now[2] <= 0.0) ||
                      (now[1] >= valve.travel_m && force_n > 0.0 && now[2] >= 0.0);
    rate[0] = (terminals_v - valve.resistance_ohm * now[0] - valve.force_npa * now[2]) /
              valve.inductance_h;
    rate[1] = held ? 0.0 : now[2];
    rate[2] = held ? 0.0 : force_n / valve.mass_kg;
    rate[3] = flow_m3ps(valve, now[1]);
  };
  State to = from;
  stepper.do_step(rates, to, 0.0, kStep_s);
  if (to[1] <= 0.0 || to[1] >= valve.travel_m) {
    to[1] = std::clamp(to[1], 0.0, valve.travel_m);
    to[2] = 0.0;
  }
  return to;
}

}  // namespace

SimulatedTrace simulated_trace(const SimulatedValve& valve, std::span<const double> widths_s,
                               double rest_s) {
  SimulatedTrace made;
  State now{};
  const auto between = static_cast<int>(std::lround(1.0 / valve.sample_hz / kStep_s));
  std::uint64_t sample = 0;
  const auto run = [&](double lasts_s, bool driven) {
    const auto samples = static_cast<long>(std::lround(lasts_s * valve.sample_hz));
    for (long k = 0; k < samples; ++k, ++sample) {
      sim::valve::ValveTrace& trace = made.trace;
      const double time_s = static_cast<double>(sample) / valve.sample_hz;
      trace.time_s.push_back(time_s);
      trace.command_ratio.push_back(driven ? 1.0F : 0.0F);
      trace.voltage_v.push_back(driven ? static_cast<float>(valve.supply_v) : 0.0F);
      trace.current_a.push_back(
          static_cast<float>(now[0] + valve.current_noise_a * normal_draw_ratio(1, sample)));
      trace.flow_m3ps.push_back(static_cast<float>(flow_m3ps(valve, now[1]) + valve.leak_m3ps));
      trace.mass_kg.push_back(
          static_cast<float>((now[3] + valve.leak_m3ps * time_s) * valve.density_kgpm3));
      const bool rests = !driven && now[0] < 1e-9 && now[1] <= 0.0;
      for (int j = 0; j < between && !rests; ++j)
        now = step(valve, now, driven ? valve.supply_v : 0.0);
    }
  };
  run(valve.rest_before_s, false);
  for (const double width_s : widths_s) {
    const double before_m3 = now[3];
    run(width_s, true);
    run(rest_s, false);
    made.doses_m3.push_back(now[3] - before_m3);
  }
  return made;
}

std::string simulated_csv(const sim::valve::ValveTrace& trace) {
  std::string text = "time [s],command [1],voltage [V],current [A],flow [ml/s],mass [g]\n";
  for (std::size_t k = 0; k < trace.size(); ++k) {
    char line[160];
    std::snprintf(line, sizeof line, "%.6f,%.0f,%.3f,%.5f,%.6f,%.7f\n", trace.time_s[k],
                  static_cast<double>(trace.command_ratio[k]),
                  static_cast<double>(trace.voltage_v[k]), static_cast<double>(trace.current_a[k]),
                  static_cast<double>(trace.flow_m3ps[k]) * 1e6,
                  static_cast<double>(trace.mass_kg[k]) * 1e3);
    text += line;
  }
  return text;
}

}  // namespace support
