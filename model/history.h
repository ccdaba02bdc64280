// What is prescribed for an ideal end over time: knots with straight lines between them, or a sine.
// A step takes the mean over its own time.
//
//   knots   constant before the first and after the last; a repeated time is a jump
//   sine    m + A sin(2 pi f t) for t > 0, m before
//   mean    exact: knots by their pieces within the step (a step inside one piece takes the middle,
//           without cancellation); a sine by m + A sin(w t_m) sin(w dt/2)/(w dt/2)
//
// Unit     the end's: m3/s, Pa or a ratio
// Errors   EXPECTS to > from; knots in rising time, at least one (else the value is 0)
// Checked  tests/model/history_test.cc
#pragma once

#include <algorithm>
#include <vector>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {

struct HistoryKnot {
  double time_s = 0.0;
  double value = 0.0;  // tidy: unit is the end's
};

struct History {
  std::vector<HistoryKnot> knots;
  double mean = 0.0;       // tidy: unit is the end's
  double amplitude = 0.0;  // tidy: unit is the end's
  double frequency_hz = 0.0;

  double first() const {  // tidy: unit is the end's
    return frequency_hz > 0.0 ? mean : knots.empty() ? 0.0 : knots.front().value;
  }
};

inline double knots_mean(  // tidy: unit is the end's
    const std::vector<HistoryKnot>& knots, double from_s, double to_s) {
  if (knots.empty()) return 0.0;
  if (to_s <= knots.front().time_s) return knots.front().value;
  if (from_s >= knots.back().time_s) return knots.back().value;
  double sum_s = 0.0;  // value times time
  if (from_s < knots.front().time_s) sum_s += knots.front().value * (knots.front().time_s - from_s);
  if (to_s > knots.back().time_s) sum_s += knots.back().value * (to_s - knots.back().time_s);
  const auto after =
      std::upper_bound(knots.begin(), knots.end(), from_s,
                       [](double time_s, const HistoryKnot& knot) { return time_s < knot.time_s; });
  const auto first = static_cast<std::size_t>(std::max<std::ptrdiff_t>(after - knots.begin(), 1));
  for (std::size_t i = first; i < knots.size() && knots[i - 1].time_s < to_s; ++i) {
    const HistoryKnot& a = knots[i - 1];
    const HistoryKnot& b = knots[i];
    const double start_s = std::max(a.time_s, from_s);
    const double end_s = std::min(b.time_s, to_s);
    if (!(end_s > start_s)) continue;
    const double place_ratio =
        (0.5 * (start_s + end_s) - a.time_s) / (b.time_s - a.time_s);  // of the piece's middle
    const double middle =                                              // tidy: unit is the end's
        a.value + (b.value - a.value) * place_ratio;
    if (start_s == from_s && end_s == to_s) return middle;
    sum_s += middle * (end_s - start_s);
  }
  return sum_s / (to_s - from_s);
}

/// Mean of the history over [from, to].
inline double history_mean(  // tidy: unit is the end's
    const History& history, double from_s, double to_s) {
  EXPECTS(to_s > from_s);
  if (!(history.frequency_hz > 0.0)) return knots_mean(history.knots, from_s, to_s);
  const double start_s = std::max(from_s, 0.0);
  if (!(to_s > start_s)) return history.mean;
  const double half_rad = shared::kPi_ratio * history.frequency_hz * (to_s - start_s);
  const double middle_rad = shared::kPi_ratio * history.frequency_hz * (to_s + start_s);
  return history.mean + history.amplitude * sin_of(middle_rad) * sin_of(half_rad) / half_rad *
                            ((to_s - start_s) / (to_s - from_s));
}

}  // namespace model
