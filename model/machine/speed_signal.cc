#include "model/machine/speed_signal.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "model/reproducible_math.h"
#include "shared/check.h"

namespace model {
namespace {

// What drives the lag over one stretch: its value at the start and its slope.
struct Drive {
  double start_ratio = 0.0;
  double slope_ratiops = 0.0;
};

// Derivation: u0 + a (s - tau) is the answer once the start is forgotten; what is left of y0 dies
// away with tau.
double lagged(double y0_ratio, const Drive& drive, double lag_s, double elapsed_s) {
  if (lag_s == 0.0) return drive.start_ratio + drive.slope_ratiops * elapsed_s;
  const double settled_ratio = drive.start_ratio + drive.slope_ratiops * (elapsed_s - lag_s);
  const double left_ratio = y0_ratio - drive.start_ratio + drive.slope_ratiops * lag_s;
  return settled_ratio + left_ratio * exp_of(-elapsed_s / lag_s);
}

Drive drive_between(double from_ratio, double to_ratio, double lasts_s) {
  return {from_ratio, lasts_s > 0.0 ? (to_ratio - from_ratio) / lasts_s : 0.0};
}

double in_steps(double value_ratio, double quantum_ratio) {
  if (quantum_ratio == 0.0) return value_ratio;
  return std::round(value_ratio / quantum_ratio) * quantum_ratio;
}

}  // namespace

SpeedSignal make_speed_signal(Travel travel, const SpeedSignalParams& params) {
  EXPECTS(!travel.knots.empty() && params.lag_s >= 0.0 && params.period_s > 0.0);
  EXPECTS(params.speed_quantum_mps >= 0.0 && params.yaw_quantum_radps >= 0.0 &&
          params.course_quantum_rad >= 0.0);
  SpeedSignal signal;
  signal.travel = std::move(travel);
  signal.params = params;
  const std::vector<TravelKnot>& knots = signal.travel.knots;
  signal.lagged_speed_mps.push_back(knots.front().speed_mps);
  signal.lagged_yaw_radps.push_back(knots.front().yaw_rate_radps);
  for (std::size_t i = 1; i < knots.size(); ++i) {
    const TravelKnot& a = knots[i - 1];
    const TravelKnot& b = knots[i];
    const double lasts_s = b.time_s - a.time_s;
    signal.lagged_speed_mps.push_back(lagged(signal.lagged_speed_mps.back(),
                                             drive_between(a.speed_mps, b.speed_mps, lasts_s),
                                             params.lag_s, lasts_s));
    signal.lagged_yaw_radps.push_back(
        lagged(signal.lagged_yaw_radps.back(),
               drive_between(a.yaw_rate_radps, b.yaw_rate_radps, lasts_s), params.lag_s, lasts_s));
  }
  return signal;
}

SpeedReading lagged_motion_at(const SpeedSignal& signal, double time_s) {
  const std::vector<TravelKnot>& knots = signal.travel.knots;
  const double lag_s = signal.params.lag_s;
  SpeedReading reading;
  reading.taken_s = time_s;
  const auto later =
      std::upper_bound(knots.begin(), knots.end(), time_s,
                       [](double t_s, const TravelKnot& k) { return t_s < k.time_s; });
  if (later == knots.begin()) {  // steady before the first knot
    reading.speed_mps = knots.front().speed_mps;
    reading.yaw_rate_radps = knots.front().yaw_rate_radps;
  } else {
    const auto knot = static_cast<std::size_t>(later - knots.begin() - 1);
    const TravelKnot& a = knots[knot];
    const TravelKnot& b = later == knots.end() ? a : *later;
    const double lasts_s = b.time_s - a.time_s;
    const double elapsed_s = time_s - a.time_s;
    reading.speed_mps = lagged(signal.lagged_speed_mps[knot],
                               drive_between(a.speed_mps, b.speed_mps, lasts_s), lag_s, elapsed_s);
    reading.yaw_rate_radps =
        lagged(signal.lagged_yaw_radps[knot],
               drive_between(a.yaw_rate_radps, b.yaw_rate_radps, lasts_s), lag_s, elapsed_s);
  }
  reading.course_rad = turned_rad(signal.travel, time_s) - lag_s * reading.yaw_rate_radps;
  return reading;
}

SpeedReading speed_sample(const SpeedSignal& signal, long long k, double speed_normal_ratio) {
  const SpeedSignalParams& params = signal.params;
  SpeedReading reading = lagged_motion_at(signal, static_cast<double>(k) * params.period_s);
  reading.speed_mps = in_steps(reading.speed_mps + params.speed_noise_mps * speed_normal_ratio,
                               params.speed_quantum_mps);
  reading.yaw_rate_radps = in_steps(reading.yaw_rate_radps, params.yaw_quantum_radps);
  reading.course_rad = in_steps(reading.course_rad, params.course_quantum_rad);
  return reading;
}

}  // namespace model
