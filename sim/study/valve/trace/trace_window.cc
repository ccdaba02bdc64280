#include "sim/study/valve/trace/trace_window.h"

#include <algorithm>
#include <cmath>

namespace sim::valve {
namespace {

constexpr std::size_t kSamplesBefore = 8;
constexpr double kLongestClosing_s = 30e-3;

// First sample after `off` at which the current is within its noise.
std::size_t current_gone(const PulseWindow& window, double noise_a) {
  const double gone_a = std::max(5.0 * noise_a, 0.005 * window.hold_a);
  std::size_t k = window.off;
  while (k < window.i_a.size() && window.i_a[k] > gone_a) ++k;
  return k;
}

// The current bends at an edge of the command. Where four samples lie on one side of it, the cubic
// through them is integrated, else a straight line. At 10 kHz straight lines miss the linkage by
// 1 %.
void integrate_current(PulseWindow& window) {
  const std::vector<double>&t = window.t_s, &i = window.i_a;
  const std::size_t count = t.size();
  window.q_as.assign(count, 0.0);
  for (std::size_t k = 1; k < count; ++k) {
    const double step_s = t[k] - t[k - 1];
    double mean_a = 0.5 * (i[k] + i[k - 1]);
    const bool inner = k >= 2 && k + 1 < count;
    const bool edge = inner && ((k - 2 < window.on && k + 1 >= window.on) ||
                                (k - 2 < window.off && k + 1 >= window.off));
    if (inner && !edge && std::abs(t[k + 1] - t[k - 2] - 3.0 * step_s) < 0.05 * step_s)
      mean_a = (13.0 * (i[k] + i[k - 1]) - i[k - 2] - i[k + 1]) / 24.0;
    window.q_as[k] = window.q_as[k - 1] + mean_a * step_s;
  }
}

// Where the current ends between two samples, the voltage steps there and not in the middle. The
// slope of the current gives the share of the interval before the step.
double share_before_gone(const PulseWindow& window, std::size_t k) {
  const double slope_a = window.i_a[k - 2] - window.i_a[k - 1];
  return slope_a > 0.0 ? std::clamp(window.i_a[k - 1] / slope_a, 0.0, 1.0) : 0.5;
}

void integrate_column(PulseWindow& window, const ValveTrace& trace) {
  window.u_vs.assign(window.t_s.size(), 0.0);
  const auto volt = [&](std::size_t k) {
    return static_cast<double>(trace.voltage_v[window.first + k]);
  };
  for (std::size_t k = 0; k < window.t_s.size(); ++k) window.v_v.push_back(volt(k));
  for (std::size_t k = 1; k < window.t_s.size(); ++k) {
    const double share_ratio = k > window.off + 1 ? share_before_gone(window, k) : 0.5;
    const bool steps = std::abs(volt(k) - volt(k - 1)) > 0.3 * std::abs(volt(window.off - 1));
    const double before_ratio = steps ? share_ratio : 0.5;
    window.u_vs[k] =
        window.u_vs[k - 1] + (before_ratio * volt(k - 1) + (1.0 - before_ratio) * volt(k)) *
                                 (window.t_s[k] - window.t_s[k - 1]);
  }
  double sum = 0.0, count = 0.0;
  for (std::size_t k = window.on + 1; k + 1 < window.off; ++k) sum += volt(k), count += 1.0;
  window.driven_v = count > 0.0 ? sum / count : volt(window.on);
  window.released_v = volt(std::min(window.off + 1, window.t_s.size() - 1));
  window.known = window.t_s.size();
}

void integrate_supply(PulseWindow& window, const TraceReading& reading, double noise_a) {
  window.driven_v = reading.supply_v;
  const double against_v = reading.clamp_v > 0.0 ? reading.clamp_v : reading.supply_v;
  window.released_v =
      reading.decay == rig::CurrentDecay::kFast ? -against_v : 0.0 - reading.diode_v;
  window.u_vs.resize(window.t_s.size());
  for (std::size_t k = 0; k < window.t_s.size(); ++k) {
    const double driven_s = std::clamp(window.t_s[k], 0.0, window.off_s);
    const double after_s = std::max(0.0, window.t_s[k] - window.off_s);
    window.u_vs[k] = window.driven_v * driven_s + window.released_v * after_s;
    window.v_v.push_back(after_s > 0.0    ? window.released_v
                         : driven_s > 0.0 ? window.driven_v
                                          : 0.0);
  }
  // A field that has outlived its current holds the terminals at a voltage that nobody recorded.
  const bool outlives =
      reading.coil.force_law == model::ForceLaw::kReluctance && window.released_v < 0.0;
  window.known = reading.decay == rig::CurrentDecay::kFast || outlives
                     ? current_gone(window, noise_a)
                     : window.t_s.size();
}

}  // namespace

PulseWindow window_of(const ValveTrace& trace, const std::vector<TraceCommand>& commands,
                      std::size_t pulse, const TraceClock& clock, const ProbeFigures& probe,
                      const TraceReading& reading) {
  const TraceCommand command = commands[pulse];
  const std::size_t free_from = pulse > 0 ? commands[pulse - 1].off + 1 : 0;
  const std::size_t next_on =
      pulse + 1 < commands.size() ? commands[pulse + 1].on - 1 : trace.size();
  PulseWindow window;
  window.first = command.on - std::min(kSamplesBefore, command.on - free_from);
  window.first = std::min(window.first, command.on - 1);
  const double end_s = trace.time_s[command.off] + kLongestClosing_s;
  const auto end_at = std::upper_bound(
      trace.time_s.begin() + static_cast<std::ptrdiff_t>(command.off),
      trace.time_s.begin() + static_cast<std::ptrdiff_t>(std::max(next_on, command.off + 1)),
      end_s);
  const auto end = static_cast<std::size_t>(end_at - trace.time_s.begin());
  window.on = command.on - window.first;
  window.off = command.off - window.first;
  const std::vector<double>& time_s = trace.time_s;
  window.on_half_s = 0.5 * (time_s[command.on] - time_s[command.on - 1]);
  window.off_half_s = 0.5 * (time_s[command.off] - time_s[command.off - 1]);
  window.on_trace_s = time_s[command.on] - window.on_half_s;
  window.off_s = time_s[command.off] - window.off_half_s - window.on_trace_s;
  for (std::size_t k = window.first; k < end; ++k) {
    window.t_s.push_back(time_s[k] - window.on_trace_s);
    window.i_a.push_back(static_cast<double>(trace.current_a[k]) - probe.offset_a -
                         probe.drift_aps * (time_s[k] - time_s.front()));
    if (k > window.first && time_s[k] - time_s[k - 1] > clock.gap_from_s) window.gap = true;
  }
  const std::size_t held = std::max<std::size_t>(
      1, std::min<std::size_t>(window.off - window.on, (window.off - window.on) / 20 + 3));
  double sum_a = 0.0;
  for (std::size_t k = window.off - held; k < window.off; ++k) sum_a += window.i_a[k];
  window.hold_a = sum_a / static_cast<double>(held);
  integrate_current(window);
  // A voltage that is sampled beside the command may step a sample later than it.
  // The current of eddy currents steps with it.
  const bool eddies = reading.coil.force_law == model::ForceLaw::kReluctance;
  const std::size_t unclean = trace.voltage_v.empty() && !eddies ? 0 : 1;
  window.on_clean = std::min(window.on + unclean, window.off - 1);
  window.off_clean = std::min(window.off + unclean, window.t_s.size() - 1);
  if (trace.voltage_v.empty())
    integrate_supply(window, reading, probe.noise_a);
  else
    integrate_column(window, trace);
  const std::size_t gone = current_gone(window, probe.noise_a);
  if (!trace.voltage_v.empty() && gone > window.off + 1 && gone < window.t_s.size() &&
      window.released_v < -0.1 * window.driven_v)
    window.gone_s = 0.5 * (window.t_s[gone] + window.t_s[gone - 1]);
  window.closing_known = window.known == window.t_s.size();
  return window;
}

std::vector<double> linkage_vs(const PulseWindow& window, double resistance_ohm,
                               double inductance_h) {
  std::vector<double> y_vs(window.t_s.size());
  for (std::size_t k = 0; k < y_vs.size(); ++k)
    y_vs[k] = window.u_vs[k] - resistance_ohm * window.q_as[k] - inductance_h * window.i_a[k];
  return y_vs;
}

}  // namespace sim::valve
