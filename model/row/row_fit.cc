#include "model/row/row_fit.h"

#include <cmath>
#include <stdexcept>
#include <string>

namespace model {
namespace {

/// A part of a cell that is smaller than this is rounding of the lengths.
constexpr double kWhole_ratio = 1e-9;

LineCells fit_line(const char* name, const Line& line, double step_s) {
  const LineCells cells = cells_of(line.length_m, line.wave_speed_mps, step_s);
  if (cells.whole < 1)
    throw std::invalid_argument("a step of " + std::to_string(step_s * 1e6) +
                                " us is longer than a wave needs along the " + name);
  return cells;
}

}  // namespace

LineCells cells_of(double length_m, double wave_speed_mps, double step_s) {
  const double cells_ratio = length_m / (wave_speed_mps * step_s);
  const double nearest_ratio = std::round(cells_ratio);
  if (std::abs(cells_ratio - nearest_ratio) < kWhole_ratio * cells_ratio)
    return {.whole = static_cast<int>(nearest_ratio), .part_ratio = 0.0};
  const double whole_ratio = std::floor(cells_ratio);
  return {.whole = static_cast<int>(whole_ratio), .part_ratio = cells_ratio - whole_ratio};
}

RowFit fit_row(const Line& hose, const Line& tube, std::int64_t step_ns) {
  const double step_s = static_cast<double>(step_ns) * 1e-9;
  return {.step_ns = step_ns,
          .hose = fit_line("hose", hose, step_s),
          .tube = fit_line("tube", tube, step_s),
          .tube_travel_time_s = tube.length_m / tube.wave_speed_mps};
}

}  // namespace model
