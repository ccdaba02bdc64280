#include "sim/measure/trace_flow.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace sim {
namespace {

// Mean over the five samples around k that the column has.
double around(const std::vector<float>& column, std::size_t k) {
  const std::size_t from = k > 2 ? k - 2 : 0, to = std::min(column.size(), k + 3);
  double sum = 0.0;
  for (std::size_t j = from; j < to; ++j) sum += static_cast<double>(column[j]);
  return sum / static_cast<double>(to - from);
}

double median_of(const std::vector<float>& column, std::size_t from, std::size_t to) {
  std::vector<float> values(column.begin() + static_cast<std::ptrdiff_t>(from),
                            column.begin() + static_cast<std::ptrdiff_t>(to));
  const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
  std::nth_element(values.begin(), middle, values.end());
  return static_cast<double>(*middle);
}

double noise_of(const std::vector<float>& column, std::size_t from, std::size_t to) {
  double sum = 0.0, count = 0.0;
  for (std::size_t k = from + 1; k < to; ++k) {
    const double step = static_cast<double>(column[k]) - static_cast<double>(column[k - 1]);
    sum += step * step, count += 2.0;
  }
  return count > 0.0 ? std::sqrt(sum / count) : 0.0;
}

// First passage of a level from `from` on; rising or falling.
Found passage(const ValveTrace& trace, const std::vector<float>& column, std::size_t from,
              std::size_t to, double level, bool rising, double noise) {
  Found found;
  double before = around(column, from);
  for (std::size_t k = from + 1; k < to; ++k) {
    const double now = around(column, k);
    const bool passes = rising ? before < level && now >= level : before > level && now <= level;
    if (passes) {
      const double step_s = trace.time_s[k] - trace.time_s[k - 1];
      const double share_ratio = (level - before) / (now - before);
      const double slope = std::abs(now - before) / step_s;
      const double by_noise_s = noise / std::sqrt(5.0) / slope;
      found.value = trace.time_s[k - 1] + share_ratio * step_s;
      found.sd = std::sqrt(by_noise_s * by_noise_s + step_s * step_s / 12.0);
      return found;
    }
    before = now;
  }
  return found;
}

void take_half_flow(const ValveTrace& trace, const std::vector<float>& column,
                    const PulseWindow& window, std::size_t next_on, TracePulse& pulse) {
  const std::size_t on = window.first + window.on, off = window.first + window.off;
  const std::size_t last_third = off - (off - on) / 3;
  if (off - on < 6) return;
  const double steady = median_of(column, last_third, off);
  const double noise = noise_of(column, last_third, off);
  const double rest = around(column, on - 1);
  if (!(steady - rest > 6.0 * noise)) return;
  const double half = 0.5 * (steady + rest);
  Found up = passage(trace, column, on - 1, off, half, true, noise);
  Found down = passage(trace, column, off - 1, next_on, half, false, noise);
  up.value -= pulse.on_s;
  down.value -= pulse.off_s;
  pulse.half_flow_up_after_s = up;
  pulse.half_flow_down_after_s = down;
}

}  // namespace

void take_flow(const ValveTrace& trace, const PulseWindow& window, std::size_t next_on,
               const TraceReading& reading, TracePulse& pulse) {
  const std::size_t on = window.first + window.on;
  if (!trace.flow_m3ps.empty() || !trace.exit_pressure_pa.empty())
    take_half_flow(trace, trace.flow_m3ps.empty() ? trace.exit_pressure_pa : trace.flow_m3ps,
                   window, next_on, pulse);
  if (!trace.flow_m3ps.empty()) {
    double volume_m3 = 0.0, squares_s2 = 0.0;
    for (std::size_t k = on; k < next_on; ++k) {
      const double step_s = trace.time_s[k] - trace.time_s[k - 1];
      volume_m3 +=
          0.5 * step_s *
          (static_cast<double>(trace.flow_m3ps[k]) + static_cast<double>(trace.flow_m3ps[k - 1]));
      squares_s2 += step_s * step_s;
    }
    const std::size_t quiet = std::max<std::size_t>(on > 200 ? on - 200 : 0, 0);
    pulse.dose_m3 = {volume_m3, noise_of(trace.flow_m3ps, quiet, on) * std::sqrt(squares_s2)};
  } else if (!trace.mass_kg.empty() && next_on > on + 1) {
    const double mass_kg = around(trace.mass_kg, next_on - 1) - around(trace.mass_kg, on - 1);
    const std::size_t quiet = on > 200 ? on - 200 : 0;
    const double sd_kg = noise_of(trace.mass_kg, quiet, on) * std::sqrt(2.0 / 5.0);
    pulse.dose_m3 = {mass_kg / reading.density_kgpm3, sd_kg / reading.density_kgpm3};
  }
}

namespace {

// What the cup gains in the second halves of rests that last: before, the column sloshes out.
double weighed_leak_m3ps(const ValveTrace& trace, const std::vector<Stretch>& rests,
                         const TraceReading& reading) {
  constexpr double kLong_s = 0.4;
  double mass_kg = 0.0, time_s = 0.0;
  for (const Stretch& rest : rests) {
    if (rest.to < rest.from + 20) continue;
    if (trace.time_s[rest.to - 1] - trace.time_s[rest.from] < kLong_s) continue;
    const std::size_t middle = rest.from + (rest.to - rest.from) / 2, last = rest.to - 3;
    mass_kg += around(trace.mass_kg, last) - around(trace.mass_kg, middle);
    time_s += trace.time_s[last] - trace.time_s[middle];
  }
  return time_s > 0.0 ? mass_kg / reading.density_kgpm3 / time_s
                      : std::numeric_limits<double>::quiet_NaN();
}

}  // namespace

void take_liquid_means(const ValveTrace& trace, const std::vector<Stretch>& rests,
                       const TraceReading& reading, TraceFindings& findings) {
  if (!trace.pressure_pa.empty()) {
    double sum_pa = 0.0;
    for (const float pressure_pa : trace.pressure_pa) sum_pa += static_cast<double>(pressure_pa);
    findings.pressure_pa = sum_pa / static_cast<double>(trace.pressure_pa.size());
  }
  if (trace.flow_m3ps.empty()) {
    if (!trace.mass_kg.empty()) findings.leak_m3ps = weighed_leak_m3ps(trace, rests, reading);
    return;
  }
  double sum_m3ps = 0.0, count = 0.0;
  for (const Stretch& rest : rests)
    for (std::size_t k = rest.from; k < rest.to; ++k)
      sum_m3ps += static_cast<double>(trace.flow_m3ps[k]), count += 1.0;
  if (count > 0.0) findings.leak_m3ps = sum_m3ps / count;
}

}  // namespace sim
