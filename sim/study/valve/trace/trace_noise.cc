#include "sim/study/valve/trace/trace_noise.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "sim/scenario/loader.h"
#include "sim/statistics/spread.h"
#include "sim/text/quantity.h"

namespace sim::valve {
namespace {

constexpr std::size_t kMostLooked = 200'000;  // differences: enough for 0.3 % of the noise

// Differences at rest, or of the whole trace where fewer than 16 lie at rest.
std::vector<double> differences(const ValveTrace& trace, const std::vector<Stretch>& rests) {
  std::vector<double> found;
  for (const Stretch& rest : rests)
    for (std::size_t k = rest.from + 1; k < rest.to && found.size() < kMostLooked; ++k)
      found.push_back(static_cast<double>(trace.current_a[k]) -
                      static_cast<double>(trace.current_a[k - 1]));
  if (found.size() >= 16) return found;
  found.clear();
  const std::size_t samples = trace.size();
  for (std::size_t k = 1; k < samples && found.size() < kMostLooked; ++k)
    found.push_back(static_cast<double>(trace.current_a[k]) -
                    static_cast<double>(trace.current_a[k - 1]));
  return found;
}

double clipped_rms(std::vector<double> values) {
  for (double& value : values) value = std::abs(value);
  std::sort(values.begin(), values.end());
  std::size_t count = values.size();
  double rms = 0.0;
  for (int round = 0; round < 10; ++round) {
    double sum = 0.0;
    for (std::size_t k = 0; k < count; ++k) sum += values[k] * values[k];
    rms = count > 0 ? std::sqrt(sum / static_cast<double>(count)) : 0.0;
    const auto end = std::upper_bound(values.begin(), values.end(), 5.0 * rms);
    const auto kept = static_cast<std::size_t>(end - values.begin());
    if (kept >= count || rms == 0.0) break;
    count = kept;
  }
  return rms;
}

// The smallest step of which nearly all distances between neighbouring values are multiples.
double quantum_of(const ValveTrace& trace) {
  std::vector<float> values;
  const std::size_t stride = std::max<std::size_t>(1, trace.size() / 50'000);
  for (std::size_t k = 0; k < trace.size(); k += stride) values.push_back(trace.current_a[k]);
  const std::size_t looked = values.size();
  std::sort(values.begin(), values.end());
  values.erase(std::unique(values.begin(), values.end()), values.end());
  if (values.size() < 3 || values.size() * 4 > looked) return 0.0;
  const double range = static_cast<double>(values.back()) - static_cast<double>(values.front());
  std::vector<double> steps;
  for (std::size_t k = 1; k < values.size(); ++k)
    steps.push_back(static_cast<double>(values[k]) - static_cast<double>(values[k - 1]));
  std::sort(steps.begin(), steps.end());
  const double least = steps[steps.size() / 100];
  if (least < 4e-7 * range) return 0.0;
  std::size_t whole = 0;
  for (const double step : steps) {
    const double times = step / least;
    if (std::abs(times - std::round(times)) < 0.12) ++whole;
  }
  return whole * 20 >= steps.size() * 19 ? least : 0.0;
}

struct Line {
  double at_start = 0.0, slope = 0.0;
  bool told = false;
};

Line rest_line(const ValveTrace& trace, const std::vector<Stretch>& rests) {
  double sw = 0.0, st = 0.0, sy = 0.0, stt = 0.0, sty = 0.0;
  const double start_s = trace.time_s.front();
  for (const Stretch& rest : rests) {
    if (rest.size() < 4) continue;
    for (std::size_t k = rest.from; k < rest.to; ++k) {
      const double t = trace.time_s[k] - start_s, y = static_cast<double>(trace.current_a[k]);
      sw += 1.0, st += t, sy += y, stt += t * t, sty += t * y;
    }
  }
  Line line;
  if (sw < 4.0) return line;
  line.told = true;
  const double spread = stt - st * st / sw;
  const double duration_s = trace.time_s.back() - start_s;
  // One short rest gives no slope for the whole trace.
  const bool sloped = spread / sw > 0.02 * duration_s * duration_s;
  line.slope = sloped ? (sty - st * sy / sw) / spread : 0.0;
  line.at_start = (sy - line.slope * st) / sw;
  return line;
}

}  // namespace

ProbeFigures probe_of(const ValveTrace& trace, const std::vector<Stretch>& rests) {
  ProbeFigures probe;
  probe.quantum_a = quantum_of(trace);
  probe.noise_a = std::max(clipped_rms(differences(trace, rests)) / std::sqrt(2.0),
                           probe.quantum_a / statistics::kWidthOfEvenSpread_ratio);
  const Line line = rest_line(trace, rests);
  probe.offset_a = line.at_start;
  probe.drift_aps = line.slope;
  probe.rested = line.told;
  return probe;
}

void refuse_saturated(const ValveTrace& trace, const ProbeFigures& probe,
                      const std::vector<Stretch>& rests, double probe_range_a) {
  const std::vector<float>& current = trace.current_a;
  const float highest = *std::max_element(current.begin(), current.end());
  std::size_t longest = 0, ends_at = 0;
  for (std::size_t k = 0, run = 0; k < current.size(); ++k) {
    run = current[k] == highest ? run + 1 : 0;
    if (run > longest) longest = run, ends_at = k;
  }
  std::size_t pairs = 0, moved = 0;
  for (const Stretch& rest : rests)
    for (std::size_t k = rest.from + 1; k < rest.to; ++k) {
      ++pairs;
      if (current[k] != current[k - 1]) ++moved;
    }
  const bool at_range =
      probe_range_a > 0.0 && static_cast<double>(highest) >= 0.999 * probe_range_a && longest >= 3;
  // Where noise at rest changes at least every third sample, twelve equal samples at the top show a
  // limit of the probe.
  const bool noisy = pairs >= 16 && moved * 3 > pairs;
  const bool stands = noisy && longest >= 12 && static_cast<double>(highest) > 10 * probe.noise_a;
  if (!at_range && !stands) return;
  throw text::InputError(
      "the current is cut off at " + text::shortest_text(static_cast<double>(highest)) +
      " A: " + std::to_string(longest) + " samples up to " +
      text::shortest_text(trace.time_s[ends_at]) + " s stand at its largest value" +
      (at_range ? ", the end of the probe's range" : " without noise") +
      "; record again with a larger range");
}

}  // namespace sim::valve
