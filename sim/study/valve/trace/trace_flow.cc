#include "sim/study/valve/trace/trace_flow.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "sim/statistics/spread.h"

namespace sim::valve {
namespace {

// Mean over up to five samples around k.
double around(const std::vector<float>& column, std::size_t k) {
  const std::size_t from = k > 2 ? k - 2 : 0, to = std::min(column.size(), k + 3);
  double sum = 0.0;
  for (std::size_t j = from; j < to; ++j) sum += static_cast<double>(column[j]);
  return sum / static_cast<double>(to - from);
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
  const double steady =
      statistics::upper_median_of({column.begin() + static_cast<std::ptrdiff_t>(last_third),
                                   column.begin() + static_cast<std::ptrdiff_t>(off)});
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

/// A pulse's flow ends this long after the valve shut: the slosh of the column is over by then, and
/// what still flows is a leak.
constexpr double kRunOut_s = 0.2;
/// A level of the cup is the mean over this much of a rest; over a longer time an error of the leak
/// would matter.
constexpr double kLevel_s = 50e-3;
constexpr std::size_t kFewestOfLevel = 5;

std::size_t sample_after(const ValveTrace& trace, double time_s) {
  const auto after = std::upper_bound(trace.time_s.begin(), trace.time_s.end(), time_s);
  return static_cast<std::size_t>(after - trace.time_s.begin());
}

double square(double value) { return value * value; }  // tidy: unit the caller's

/// What the pulse adds to the leak: the flow above the leak until it has ended.
Found dose_by_flow(const ValveTrace& trace, std::size_t on, std::size_t end, const Found& leak) {
  const double leak_m3ps = leak.seen() ? leak.value : 0.0;
  double volume_m3 = 0.0, squares_s2 = 0.0;
  for (std::size_t k = on; k < end; ++k) {
    const double step_s = trace.time_s[k] - trace.time_s[k - 1];
    const double mean_m3ps = 0.5 * (static_cast<double>(trace.flow_m3ps[k]) +
                                    static_cast<double>(trace.flow_m3ps[k - 1]));
    volume_m3 += step_s * (mean_m3ps - leak_m3ps);
    squares_s2 += step_s * step_s;
  }
  const double noise_m3ps = noise_of(trace.flow_m3ps, on > 200 ? on - 200 : 0, on);
  const double by_leak_m3 =
      leak.seen() ? leak.sd * (trace.time_s[end - 1] - trace.time_s[on - 1]) : 0.0;
  return {volume_m3, std::sqrt(square(noise_m3ps) * squares_s2 + square(by_leak_m3))};
}

/// The mass in the cup at `at_s`: the mean over the given samples, each less what leaked since
/// then.
Found level_at(const ValveTrace& trace, Stretch over, double at_s, double leak_kgps) {
  double sum_kg = 0.0;
  for (std::size_t k = over.from; k < over.to; ++k)
    sum_kg += static_cast<double>(trace.mass_kg[k]) - leak_kgps * (trace.time_s[k] - at_s);
  const auto count = static_cast<double>(over.size());
  return {sum_kg / count, noise_of(trace.mass_kg, over.from, over.to) / std::sqrt(count)};
}

/// The end of a rest, from which its level is read.
Stretch level_before(const ValveTrace& trace, std::size_t shut, std::size_t end) {
  const double third_s = (trace.time_s[end - 1] - trace.time_s[shut]) / 3.0;
  std::size_t from = sample_after(trace, trace.time_s[end - 1] - std::min(third_s, kLevel_s));
  from = std::min(from, end > kFewestOfLevel ? end - kFewestOfLevel : 0);
  return {from, end};
}

/// The step of the mass in the cup, between steady drips before and after the pulse.
Found dose_by_mass(const ValveTrace& trace, const PulseSpan& span, std::size_t end,
                   const Found& leak, double density_kgpm3) {
  const double leak_kgps = leak.seen() ? leak.value * density_kgpm3 : 0.0;
  const Stretch before = level_before(trace, span.shut_before, span.on);
  const Stretch after = level_before(trace, span.off, end);
  const double off_s = trace.time_s[span.off];
  const Found full = level_at(trace, after, off_s, leak_kgps);
  const Found empty = level_at(trace, before, off_s, leak_kgps);
  return {(full.value - empty.value) / density_kgpm3,
          statistics::root_of_squares(full.sd, empty.sd) / density_kgpm3};
}

}  // namespace

void take_flow(const ValveTrace& trace, const PulseWindow& window, const PulseSpan& span,
               const TraceReading& reading, const Found& leak, TracePulse& pulse) {
  if (!trace.flow_m3ps.empty() || !trace.exit_pressure_pa.empty())
    take_half_flow(trace, trace.flow_m3ps.empty() ? trace.exit_pressure_pa : trace.flow_m3ps,
                   window, span.next_on, pulse);
  double shut_s = pulse.off_s;
  for (const Found& event : {pulse.seated_after_s, pulse.half_flow_down_after_s})
    if (event.seen()) shut_s = std::max(shut_s, pulse.off_s + event.value);
  const std::size_t end =
      std::max(span.off + 1, std::min(span.next_on, sample_after(trace, shut_s + kRunOut_s)));
  if (!trace.flow_m3ps.empty())
    pulse.dose_m3 = dose_by_flow(trace, span.on, end, leak);
  else if (!trace.mass_kg.empty())
    pulse.dose_m3 = dose_by_mass(trace, span, end, leak, reading.density_kgpm3);
}

namespace {

/// A rest counts for the leak if it begins this long after its pulse: earlier the column sloshes.
constexpr double kStill_s = 60e-3;
/// Where some rests have a quiet part as long as this, only these give the leak.
constexpr double kLong_s = 0.4;

double length_s(const ValveTrace& trace, const Stretch& rest) {
  return rest.size() < 20 ? 0.0 : trace.time_s[rest.to - 1] - trace.time_s[rest.from];
}

/// The stretches that give the leak: the second halves of long rests, or else the quiet short ones.
std::vector<Stretch> telling_rests(const ValveTrace& trace,
                                   const std::vector<TraceCommand>& commands,
                                   const std::vector<Stretch>& rests) {
  std::vector<Stretch> all = rests;  // one before every command, and that after the last
  const std::size_t last_off = commands.back().off, pause = trace.size() - last_off;
  all.push_back({trace.size() - pause / 3, trace.size()});
  std::vector<Stretch> longest, quiet;
  for (std::size_t k = 0; k < all.size(); ++k) {
    const Stretch rest = all[k];
    const double rest_s = length_s(trace, rest);
    if (rest_s >= kLong_s) longest.push_back({rest.from + rest.size() / 2, rest.to});
    const double since_s =
        k == 0 ? rest_s : trace.time_s[rest.from] - trace.time_s[commands[k - 1].off];
    if (rest_s > 0.0 && since_s >= (k == 0 ? 0.0 : kStill_s)) quiet.push_back(rest);
  }
  return longest.empty() ? quiet : longest;
}

/// Mean of the flow while shut.
Found leak_by_flow(const ValveTrace& trace, const std::vector<Stretch>& rests) {
  double sum_m3ps = 0.0, count = 0.0, squares = 0.0;  // tidy: unit of squares m6/s2
  for (const Stretch& rest : rests)
    for (std::size_t k = rest.from; k < rest.to; ++k)
      sum_m3ps += static_cast<double>(trace.flow_m3ps[k]), count += 1.0;
  if (count < 2.0) return {};
  const double mean_m3ps = sum_m3ps / count;
  for (const Stretch& rest : rests)
    for (std::size_t k = rest.from; k < rest.to; ++k)
      squares += square(static_cast<double>(trace.flow_m3ps[k]) - mean_m3ps);
  return {mean_m3ps, std::sqrt(squares / (count - 1.0) / count)};
}

/// One slope of the cup's mass for all rests, each with a level of its own: least squares.
Found leak_by_mass(const ValveTrace& trace, const std::vector<Stretch>& rests,
                   double density_kgpm3) {
  double tt = 0.0, tm = 0.0, mm = 0.0, free_ratio = -1.0;  // tidy: unit products of s and kg
  for (const Stretch& rest : rests) {
    const auto count = static_cast<double>(rest.size());
    double mean_s = 0.0, mean_kg = 0.0;
    for (std::size_t k = rest.from; k < rest.to; ++k) {
      mean_s += trace.time_s[k] / count;
      mean_kg += static_cast<double>(trace.mass_kg[k]) / count;
    }
    for (std::size_t k = rest.from; k < rest.to; ++k) {
      const double off_s = trace.time_s[k] - mean_s;
      const double off_kg = static_cast<double>(trace.mass_kg[k]) - mean_kg;
      tt += off_s * off_s, tm += off_s * off_kg, mm += off_kg * off_kg;
    }
    free_ratio += count - 1.0;
  }
  if (!(tt > 0.0) || free_ratio < 1.0) return {};
  const double slope_kgps = tm / tt;
  const double left = std::max(0.0, mm - slope_kgps * tm);  // tidy: unit kg2
  return {slope_kgps / density_kgpm3, std::sqrt(left / free_ratio / tt) / density_kgpm3};
}

}  // namespace

void take_liquid_means(const ValveTrace& trace, const std::vector<TraceCommand>& commands,
                       const std::vector<Stretch>& rests, const TraceReading& reading,
                       TraceFindings& findings) {
  if (!trace.pressure_pa.empty()) {
    double sum_pa = 0.0;
    for (const float pressure_pa : trace.pressure_pa) sum_pa += static_cast<double>(pressure_pa);
    findings.pressure_pa = sum_pa / static_cast<double>(trace.pressure_pa.size());
  }
  const std::vector<Stretch> telling = telling_rests(trace, commands, rests);
  if (!trace.flow_m3ps.empty())
    findings.leak_m3ps = leak_by_flow(trace, telling);
  else if (!trace.mass_kg.empty())
    findings.leak_m3ps = leak_by_mass(trace, telling, reading.density_kgpm3);
}

}  // namespace sim::valve
