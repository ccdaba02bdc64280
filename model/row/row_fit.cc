#include "model/row/row_fit.h"

#include <cmath>
#include <stdexcept>
#include <string>

namespace model {
namespace {

constexpr double kGoodShift_ratio = 1e-3;
constexpr double kWorstShift_ratio = 5e-3;
constexpr std::int64_t kSmallestStep_percent = 60;
// A long step may fit no better than by 1 % where a shorter one fits.
constexpr std::int64_t kLastResort_percent = 20;

struct LineFit {
  int cells = 1;
  double shift_ratio = 0.0;
};

LineFit fit_line(const Line& line, double step_s) {
  const double wanted = line.length_m / (line.wave_speed_mps * step_s);
  const int cells = wanted < 1.0 ? 1 : static_cast<int>(std::lround(wanted));
  return {.cells = cells, .shift_ratio = wanted / cells - 1.0};
}

}  // namespace

RowFit fit_row(const Line& hose, const Line& tube, std::int64_t largest_step_ns) {
  RowFit best;
  double best_shift_ratio = 1e300;
  const auto least_ns = [&] {
    return largest_step_ns *
           (best_shift_ratio <= kWorstShift_ratio ? kSmallestStep_percent : kLastResort_percent);
  };
  for (std::int64_t ns = largest_step_ns; ns * 100 >= least_ns() && ns > 0; --ns) {
    const double step_s = static_cast<double>(ns) * 1e-9;
    const LineFit hose_fit = fit_line(hose, step_s);
    const LineFit tube_fit = fit_line(tube, step_s);
    const double shift_ratio =
        std::fmax(std::abs(hose_fit.shift_ratio), std::abs(tube_fit.shift_ratio));
    if (shift_ratio >= best_shift_ratio) continue;
    best_shift_ratio = shift_ratio;
    best = {.step_ns = ns,
            .hose_cells = hose_fit.cells,
            .tube_cells = tube_fit.cells,
            .hose_wave_speed_shift_ratio = hose_fit.shift_ratio,
            .tube_wave_speed_shift_ratio = tube_fit.shift_ratio,
            .tube_travel_time_s = static_cast<double>(ns * tube_fit.cells) * 1e-9};
    if (shift_ratio < kGoodShift_ratio) break;
  }
  if (!(best_shift_ratio <= kWorstShift_ratio))
    throw std::invalid_argument("no step of at most " + std::to_string(largest_step_ns) +
                                " ns fits hose and tube: a wave speed would move by " +
                                std::to_string(100.0 * best_shift_ratio) + " %, more than 0.5 %");
  return best;
}

}  // namespace model
