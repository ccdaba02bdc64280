#include "sim/study/valve/trace/trace_fit.h"

#include <algorithm>
#include <cmath>

namespace sim::valve {

void SmallFit::take(const Row& row, double y, double weight_ratio) {
  for (std::size_t a = 0; a < at(unknowns_); ++a) {
    const double weighed = weight_ratio * row[a];
    for (std::size_t b = 0; b <= a; ++b) normal_[a][b] += weighed * row[b];
    right_[a] += weighed * y;
  }
  yy_ += weight_ratio * y * y;
  ++samples_;
}

// Cholesky of the normal matrix scaled to a diagonal of ones.
bool SmallFit::solve(bool with_variance) {
  const std::size_t n = at(unknowns_);
  Row scale{};
  for (std::size_t a = 0; a < n; ++a) {
    if (!(normal_[a][a] > 0.0)) return false;
    scale[a] = 1.0 / std::sqrt(normal_[a][a]);
  }
  std::array<Row, kMost> low{};
  for (std::size_t a = 0; a < n; ++a) {
    for (std::size_t b = 0; b <= a; ++b) {
      double sum = normal_[a][b] * scale[a] * scale[b];
      for (std::size_t c = 0; c < b; ++c) sum -= low[a][c] * low[b][c];
      if (a != b) {
        low[a][b] = sum / low[b][b];
      } else {
        if (!(sum > 1e-13)) return false;
        low[a][a] = std::sqrt(sum);
      }
    }
  }
  Row forward{};
  double explained = 0.0;
  for (std::size_t a = 0; a < n; ++a) {
    double sum = right_[a] * scale[a];
    for (std::size_t c = 0; c < a; ++c) sum -= low[a][c] * forward[c];
    forward[a] = sum / low[a][a];
    explained += forward[a] * forward[a];
  }
  for (std::size_t a = n; a-- > 0;) {
    double sum = forward[a];
    for (std::size_t c = a + 1; c < n; ++c) sum -= low[c][a] * beta_[c];
    beta_[a] = sum / low[a][a];
  }
  for (std::size_t unit = 0; with_variance && unit < n; ++unit) {
    Row column{};  // L^-1 e: its squares, summed, are the diagonal of the inverse
    double sum_of_squares = 0.0;
    for (std::size_t a = unit; a < n; ++a) {
      double sum = a == unit ? 1.0 : 0.0;
      for (std::size_t c = unit; c < a; ++c) sum -= low[a][c] * column[c];
      column[a] = sum / low[a][a];
    }
    for (std::size_t a = unit; a < n; ++a) sum_of_squares += column[a] * column[a];
    variance_[unit] = sum_of_squares * scale[unit] * scale[unit];
  }
  for (std::size_t a = 0; a < n; ++a) beta_[a] *= scale[a];
  rest_ = std::max(0.0, yy_ - explained);
  return true;
}

}  // namespace sim::valve
