#include "sim/study/valve/trace/trace_coil.h"

#include <algorithm>
#include <cmath>

namespace sim::valve {

namespace {

// The integral of noise is a random walk. Over a longer stretch its drift, which is no scatter from
// sample to sample, would outweigh the samples' own noise.
constexpr double kLongest_s = 1e-3;

}  // namespace

void CoilSums::take(const PulseWindow& window, std::size_t from, std::size_t to) {
  to = std::min(to, window.known);
  if (to < from + 2) return;
  const double stretch_s = window.t_s[to - 1] - window.t_s[from];
  const auto pieces = static_cast<std::size_t>(stretch_s / kLongest_s) + 1;
  for (std::size_t k = 0; k < pieces; ++k)
    take_piece(window, from + (to - from) * k / pieces, from + (to - from) * (k + 1) / pieces);
}

void CoilSums::take_piece(const PulseWindow& window, std::size_t from, std::size_t to) {
  if (to < from + 2) return;
  const auto n = static_cast<double>(to - from);
  double q0 = 0.0, i0 = 0.0, u0 = 0.0;
  for (std::size_t k = from; k < to; ++k)
    q0 += window.q_as[k], i0 += window.i_a[k], u0 += window.u_vs[k];
  q0 /= n, i0 /= n, u0 /= n;
  for (std::size_t k = from; k < to; ++k) {
    const double q = window.q_as[k] - q0, i = window.i_a[k] - i0, u = window.u_vs[k] - u0;
    qq += q * q, qi += q * i, ii += i * i;
    qu += q * u, iu += i * u, uu += u * u;
  }
  samples_ratio += n;
  stretches_ratio += 1.0;
}

void CoilSums::take(const CoilSums& other) {
  qq += other.qq, qi += other.qi, ii += other.ii;
  qu += other.qu, iu += other.iu, uu += other.uu;
  samples_ratio += other.samples_ratio;
  stretches_ratio += other.stretches_ratio;
}

CoilFigures coil_of(const CoilSums& sums, double noise_a) {
  CoilFigures coil;
  const double freedom = std::max(1.0, sums.samples_ratio - sums.stretches_ratio - 2.0);
  // Noise of the current would flatten the slope, as noise of any regressor does.
  const double ii = sums.ii - noise_a * noise_a * (sums.samples_ratio - sums.stretches_ratio);
  const double det = sums.qq * ii - sums.qi * sums.qi;
  if (!(ii > 0.0) || !(det > 1e-9 * sums.qq * ii) || sums.samples_ratio < 6.0) return coil;
  coil.resistance_ohm = (sums.qu * ii - sums.iu * sums.qi) / det;
  coil.inductance_h = (sums.iu * sums.qq - sums.qu * sums.qi) / det;
  coil.told = coil.resistance_ohm > 0.0 && coil.inductance_h > 0.0;
  if (!coil.told) return coil;
  const double r = coil.resistance_ohm, l = coil.inductance_h;
  const double rest = std::max(0.0, sums.uu + r * r * sums.qq + l * l * sums.ii +
                                        2.0 * (r * l * sums.qi - r * sums.qu - l * sums.iu));
  const double left_vs = std::sqrt(rest / freedom);
  const double noise_vs = coil.inductance_h * noise_a;
  coil.misfit_ratio = noise_vs > 0.0 ? left_vs / noise_vs : 0.0;
  const double sigma_vs = std::max(left_vs, noise_vs);
  coil.resistance_sd_ohm = sigma_vs * std::sqrt(ii / det);
  coil.inductance_sd_h = sigma_vs * std::sqrt(sums.qq / det);
  return coil;
}

CoilSums surely_still(const PulseWindow& window) {
  CoilSums sums;
  const std::size_t driven = window.off - window.on;
  sums.take(window, window.off - driven * 2 / 5, window.off);
  const std::size_t end = held_until(window, 0.6 * window.hold_a);
  sums.take(window, window.off_clean, std::max(end, std::min(window.off_clean + 2, window.known)));
  return sums;
}

std::size_t held_until(const PulseWindow& window, double least_a) {
  std::size_t end = window.off_clean;
  while (end < window.known && window.i_a[end] > least_a) ++end;
  return end;
}

}  // namespace sim::valve
