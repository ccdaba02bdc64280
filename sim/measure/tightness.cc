#include "sim/measure/tightness.h"

#include <cmath>
#include <limits>

namespace sim::measure {

double tightness_ratio(const RequirementResult& one) {
  constexpr double kNever_ratio = std::numeric_limits<double>::infinity();
  if (!one.seen) return kNever_ratio;
  if (one.limit == 0.0) return one.holds && one.margin == 0.0 ? kNever_ratio : one.margin;
  return one.margin / std::abs(one.limit);
}

}  // namespace sim::measure
