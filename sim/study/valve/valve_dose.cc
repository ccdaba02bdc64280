#include "sim/study/valve/valve_dose.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "shared/check.h"

namespace sim::valve {
namespace {

constexpr std::size_t kFewest = 3;  // any two points lie on a line

DoseLine line_through(std::span<const double> widths_s, std::span<const double> doses_m3) {
  const auto n = static_cast<double>(widths_s.size());
  double mean_s = 0.0, mean_m3 = 0.0;
  for (std::size_t i = 0; i < widths_s.size(); ++i) {
    mean_s += widths_s[i] / n;
    mean_m3 += doses_m3[i] / n;
  }
  double spread_s2 = 0.0;  // tidy: unit s2
  double both = 0.0;       // tidy: unit s m3
  double total = 0.0;      // tidy: unit m6
  for (std::size_t i = 0; i < widths_s.size(); ++i) {
    const double off_s = widths_s[i] - mean_s;
    const double off_m3 = doses_m3[i] - mean_m3;
    spread_s2 += off_s * off_s;
    both += off_s * off_m3;
    total += off_m3 * off_m3;
  }
  DoseLine line;
  if (!(spread_s2 > 0.0 && both > 0.0)) return line;
  line.found = true;
  line.slope_m3ps = both / spread_s2;
  line.dead_s = mean_s - mean_m3 / line.slope_m3ps;
  line.from_s = widths_s.front();
  line.to_s = widths_s.back();
  double left = 0.0;  // tidy: unit m6
  for (std::size_t i = 0; i < widths_s.size(); ++i) {
    const double off_m3 = doses_m3[i] - line.slope_m3ps * (widths_s[i] - line.dead_s);
    left += off_m3 * off_m3;
    line.worst_ratio =
        std::max(line.worst_ratio, doses_m3[i] > 0.0 ? std::abs(off_m3) / doses_m3[i] : HUGE_VAL);
  }
  line.r2_ratio = 1.0 - left / total;
  const double from_mean_s = line.from_s - mean_s;
  line.from_sd_m3 = std::sqrt(left / (n - 2.0) * (1.0 / n + from_mean_s * from_mean_s / spread_s2));
  return line;
}

}  // namespace

DoseLine dose_line(std::span<const double> widths_s, std::span<const double> doses_m3,
                   double error_ratio) {
  EXPECTS(widths_s.size() == doses_m3.size() && widths_s.size() >= kFewest);
  for (std::size_t first = 0; first + kFewest <= widths_s.size(); ++first) {
    const DoseLine line = line_through(widths_s.subspan(first), doses_m3.subspan(first));
    if (line.found && line.worst_ratio <= error_ratio) return line;
  }
  return {};
}

DoseLine longest_dose_line(std::span<const double> widths_s, std::span<const double> doses_m3,
                           double error_ratio) {
  EXPECTS(widths_s.size() == doses_m3.size() && widths_s.size() >= kFewest);
  DoseLine best;
  for (std::size_t first = 0; first + kFewest <= widths_s.size(); ++first) {
    for (std::size_t end = widths_s.size(); end >= first + kFewest; --end) {
      const DoseLine line =
          line_through(widths_s.subspan(first, end - first), doses_m3.subspan(first, end - first));
      if (!line.found || line.worst_ratio > error_ratio) continue;
      if (!best.found || line.to_s - line.from_s > best.to_s - best.from_s) best = line;
      break;  // shorter ones from here cover less
    }
  }
  return best;
}

}  // namespace sim::valve
