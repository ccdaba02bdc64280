// A valve's trace made up for tests: coil and plunger in small steps, then sampled, with noise,
// quantum, offset and drift. It shares nothing with model/ or with the analysis.
//
//   L di/dt = u - R i - K v,  m dv/dt = K i - F0 - k x, between seat (0) and stop (travel), where
//   the speed turns to -e times itself; steps of 0.2 us by the midpoint rule, impacts inside a step
//   by its straight line; a diode holds i at zero from below
//   noise   normal numbers as sums of twelve uniform ones of a linear congruential generator
//
// Checked  tests/sim/study/valve/trace/trace_pulses_test.cc
#pragma once

#include <cmath>
#include <cstdint>
#include <vector>

#include "sim/study/valve/trace/trace_pulses.h"

namespace trace_bench {

struct Valve {
  double R = 4.0, L = 2e-3, K = 5.0, m = 3e-3, F0 = 6.0, k = 2000.0, travel = 0.6e-3, e = 0.2;
};

struct Pulse {
  double on, off;
  bool held = false;  // the plunger sticks on its seat
};

struct Bench {
  Valve valve;
  double volt = 12.0;
  bool slow = false;
  bool with_voltage = false, with_command = true;
  double noise = 5e-3, volt_noise = 20e-3, quantum = 0.0, offset = 0.0, drift = 0.0;
  double hz = 100e3;
  double start = 0.0;  // of the clock
  std::uint64_t key = 1;
};

struct Truth {
  double motion = NAN, stop = NAN, left = NAN, seat = NAN;  // after the command's edge
};

struct Made {
  sim::valve::ValveTrace trace;
  std::vector<Truth> truth;
};

class Chance {
 public:
  explicit Chance(std::uint64_t key) : state_(key * 2654435761u + 12345u) {}
  double uniform() {
    state_ = state_ * 6364136223846793005u + 1442695040888963407u;
    return static_cast<double>(state_ >> 11) / 9007199254740992.0;
  }
  double normal() {
    double sum = -6.0;
    for (int k = 0; k < 12; ++k) sum += uniform();
    return sum;
  }

 private:
  std::uint64_t state_;
};

class Plunger {
 public:
  explicit Plunger(const Bench& bench) : s_(bench) {}
  double i = 0.0, v = 0.0, x = 0.0, u = 0.0;

  /// The terminals' voltage: where the diode blocks, they show the back-EMF.
  void drive(bool driven) {
    const double back = s_.valve.K * v;
    const bool freewheels = s_.slow && (i > 0.0 || back < 0.0);
    u = driven ? s_.volt : freewheels ? 0.0 : i > 0.0 ? -s_.volt : back;
  }

  void step(double h, bool driven, bool held, double t, const Pulse* pulse, Truth* truth) {
    const Valve& p = s_.valve;
    drive(driven);
    const auto current_rate = [&](double i_, double v_) { return (u - p.R * i_ - p.K * v_) / p.L; };
    const auto force = [&](double i_, double x_) { return p.K * i_ - p.F0 - p.k * x_; };
    const bool on_seat = x <= 0.0 && v == 0.0, on_stop = x >= p.travel && v == 0.0;
    const double f = force(i, x);
    const bool stays = held || (on_seat && f <= 0.0) || (on_stop && f >= 0.0);
    const bool conducts = driven || i > 0.0 || (s_.slow && u - p.K * v > 0.0);
    const double im = conducts ? i + 0.5 * h * current_rate(i, v) : 0.0;
    const double vm = stays ? 0.0 : v + 0.5 * h * f / p.m;
    const double xm = stays ? x : x + 0.5 * h * v;
    if (!stays && truth != nullptr) {
      if (on_seat && std::isnan(truth->motion)) truth->motion = t - pulse->on;
      if (on_stop && t > pulse->off && std::isnan(truth->left)) truth->left = t - pulse->off;
    }
    i = conducts ? i + h * current_rate(im, vm) : 0.0;
    if (i < 0.0) i = 0.0;
    if (stays) return;
    const double before = x;
    v += h * force(im, xm) / p.m;
    x += h * vm;
    const double wall = x < 0.0 ? 0.0 : p.travel;
    if (x >= 0.0 && x <= p.travel) return;
    const double share = (wall - before) / (x - before);
    if (truth != nullptr && wall > 0.0 && std::isnan(truth->stop))
      truth->stop = t + share * h - pulse->on;
    if (truth != nullptr && wall == 0.0 && t > pulse->off && std::isnan(truth->seat))
      truth->seat = t + share * h - pulse->off;
    x = wall;
    v = std::abs(v) * p.e < 5e-3 ? 0.0 : -p.e * v;
  }

 private:
  const Bench& s_;
};

inline Made run(const Bench& bench, const std::vector<Pulse>& pulses, double end) {
  constexpr double kStep = 0.2e-6;
  Made run;
  run.truth.resize(pulses.size());
  Plunger plunger(bench);
  Chance chance(bench.key);
  double next = 0.3 / bench.hz;  // samples and edges do not fall together
  std::size_t at = 0;
  std::int64_t sample = 0;
  for (std::int64_t n = 0; static_cast<double>(n) * kStep < end; ++n) {
    const double t = static_cast<double>(n) * kStep;
    while (at + 1 < pulses.size() && t >= pulses[at + 1].on) ++at;
    const bool begun = t >= pulses[at].on;
    const bool driven = begun && t < pulses[at].off;
    plunger.drive(driven);
    if (t >= next) {
      double i = plunger.i + bench.offset + bench.drift * t + bench.noise * chance.normal();
      if (bench.quantum > 0.0) i = std::round(i / bench.quantum) * bench.quantum;
      run.trace.time_s.push_back(bench.start + (static_cast<double>(sample) + 0.3) / bench.hz);
      run.trace.current_a.push_back(static_cast<float>(i));
      if (bench.with_command) run.trace.command_ratio.push_back(driven ? 1.0f : 0.0f);
      if (bench.with_voltage)
        run.trace.voltage_v.push_back(
            static_cast<float>(plunger.u + bench.volt_noise * chance.normal()));
      ++sample;
      next = (static_cast<double>(sample) + 0.3) / bench.hz;
    }
    plunger.step(kStep, driven, pulses[at].held, t, begun ? &pulses[at] : nullptr,
                 begun ? &run.truth[at] : nullptr);
  }
  return run;
}

inline std::vector<Pulse> train(int count, double on_time = 12.0021e-3, double period = 33.7731e-3,
                                double first = 10.0137e-3) {
  std::vector<Pulse> pulses;
  for (int k = 0; k < count; ++k)
    pulses.push_back({first + k * period, first + k * period + on_time});
  return pulses;
}

}  // namespace trace_bench
