// A figure that does not exist: not-a-number, of any unit. A comparison with not-a-number is false,
// so missing data never passes a test.
#pragma once

#include <limits>

namespace sim::statistics {

inline constexpr double kNone_ratio = std::numeric_limits<double>::quiet_NaN();

}  // namespace sim::statistics
