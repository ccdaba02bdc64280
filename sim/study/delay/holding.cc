#include "sim/study/delay/holding.h"

#include <cmath>

namespace sim::delay {

bool holds(const DelaySpeed& at, int tolerance, bool trimmed) {
  return at.servable && at.deliverable && (trimmed ? at.trimmed : at.plain)[tolerance].holds;
}

FastestHeld find_fastest(std::span<const double> speeds_mps,
                         const std::function<DelaySpeed(const JudgedSpeed&)>& judge) {
  FastestHeld fastest;
  std::size_t failing_index = 0;
  const auto try_speed = [&](const JudgedSpeed& at) {
    const DelaySpeed judged = judge(at);
    const bool held = holds(judged);
    (held ? fastest.holds_mps : fastest.fails_mps) = at.speed_mps;
    (held ? fastest.held : fastest.failing) = judged;
    if (!held) failing_index = at.index;
    return held;
  };
  for (std::size_t k = speeds_mps.size(); k-- > 0;)
    if (try_speed({speeds_mps[k], k})) break;
  if (std::isnan(fastest.holds_mps) || std::isnan(fastest.fails_mps)) return fastest;
  // These speeds take the conditions of the next report speed: close to it they become its passes.
  for (int half = 0; half < kSpeedHalvings; ++half)
    try_speed({0.5 * (fastest.holds_mps + fastest.fails_mps), failing_index});
  return fastest;
}

}  // namespace sim::delay
