// First motion: see trace_events.h.
#include <algorithm>
#include <cmath>
#include <vector>

#include "sim/measure/trace_events.h"
#include "sim/measure/trace_fit.h"

namespace sim {
namespace {

constexpr int kScanned = 24;
constexpr int kRefined = 14;
constexpr std::size_t kMostPoints = 70;
constexpr double kMostAnswer_ps2 = 1e7;  // stiffness over mass: spring, pressure on the seat

// Repeated integrals of the current from the first sample on.
struct Integrals {
  std::vector<double> q, s1, s2, s3;

  Integrals(std::span<const double> t, std::span<const double> i)
      : q(t.size()), s1(t.size()), s2(t.size()), s3(t.size()) {
    for (std::size_t k = 1; k < t.size(); ++k) {
      const double dt = t[k] - t[k - 1];
      q[k] = q[k - 1] + 0.5 * dt * (i[k] + i[k - 1]);
      // Each next one with the step's own curvature, so that few samples do.
      s1[k] = s1[k - 1] + dt * q[k - 1] + dt * dt * (2.0 * i[k - 1] + i[k]) / 6.0;
      s2[k] = s2[k - 1] + dt * (s1[k - 1] + 0.5 * dt * q[k - 1]) +
              dt * dt * dt * (3.0 * i[k - 1] + i[k]) / 24.0;
      s3[k] = s3[k - 1] + dt * (s2[k - 1] + 0.5 * dt * (s1[k - 1] + dt * q[k - 1] / 3.0)) +
              dt * dt * dt * dt * i[k - 1] / 24.0;
    }
  }
};

struct Point {
  double t, y, s1, s3;
};

struct AtStart {
  double t, i, slope, q, s1, s2, s3;
};

class MotionScan {
 public:
  MotionScan(std::span<const double> t, std::span<const double> i, std::span<const double> y,
             double noise, const MotionPrior& prior, double step_at)
      : t_(t), i_(i), sums_(t, i), prior_(prior), step_at_(step_at) {
    const std::size_t group = t.size() / kMostPoints + 1;
    reference_ = y[0];
    for (std::size_t k = 0; k + group <= t.size(); k += group) {
      Point mean{0.0, 0.0, 0.0, 0.0};
      for (std::size_t j = k; j < k + group; ++j) {
        mean.t += t[j], mean.y += y[j] - reference_;
        mean.s1 += sums_.s1[j], mean.s3 += sums_.s3[j];
      }
      const auto n = static_cast<double>(group);
      points_.push_back({mean.t / n, mean.y / n, mean.s1 / n, mean.s3 / n});
    }
    point_noise_ = noise / std::sqrt(static_cast<double>(group));
    std::size_t after = 0;
    for (const Point& point : points_) after += point.t > step_at ? 1 : 0;
    steps_ = after >= 2 && after + 2 <= points_.size();
    // How the squares stand without any motion.
    SmallFit still(steps_ ? 2 : 1);
    for (const Point& point : points_) still.take({1.0, point.t > step_at ? 1.0 : 0.0}, point.y);
    if (still.solve()) still_rest_ = still.rest();
  }

  // Current and its integrals at t0: a straight line through the samples around it.
  AtStart at(double t0) const {
    const auto above = std::upper_bound(t_.begin(), t_.end(), t0);
    const auto k = static_cast<std::size_t>(std::max<std::ptrdiff_t>(above - t_.begin(), 1)) - 1;
    const std::size_t from = k > 2 ? k - 2 : 0, to = std::min(t_.size(), k + 4);
    double n = 0.0, st = 0.0, si = 0.0, stt = 0.0, sti = 0.0;
    for (std::size_t j = from; j < to; ++j) {
      const double t = t_[j] - t0;
      n += 1.0, st += t, si += i_[j], stt += t * t, sti += t * i_[j];
    }
    const double spread = n * stt - st * st;
    const double slope = spread > 0.0 ? (n * sti - st * si) / spread : 0.0;
    const double i0 = (si - slope * st) / n;
    const double d = t0 - t_[k];
    return {t0,
            i0,
            slope,
            sums_.q[k] + d * i_[k],
            sums_.s1[k] + d * (sums_.q[k] + 0.5 * d * i_[k]),
            sums_.s2[k] + d * (sums_.s1[k] + 0.5 * d * sums_.q[k]),
            sums_.s3[k] + d * (sums_.s2[k] + 0.5 * d * sums_.s1[k])};
  }

  // Squares left over with the start at t0; with_start adds the start itself as an unknown.
  SmallFit fit(double t0, bool with_start, double c1 = 0.0, double c2 = 0.0) const {
    const AtStart start = at(t0);
    SmallFit fit(3 + (steps_ ? 1 : 0) + (with_start ? 1 : 0));
    const std::size_t start_column = steps_ ? 4 : 3;
    for (const Point& point : points_) {
      const double d = point.t - t0;
      double b1 = 0.0, b2 = 0.0, moved = 0.0;
      if (d > 0.0) {
        const double d2 = d * d;
        b1 = point.s1 - start.s1 - start.q * d - 0.5 * start.i * d2;
        b2 = point.s3 - start.s3 - start.s2 * d - 0.5 * start.s1 * d2 - start.q * d2 * d / 6.0 -
             start.i * d2 * d2 / 24.0;
        moved = -start.slope * d2 * (0.5 * c1 + c2 * d2 / 24.0);
      }
      SmallFit::Row row{1.0, b1, b2, point.t > step_at_ ? 1.0 : 0.0};
      row[start_column] = moved;
      if (!steps_ && !with_start) row[3] = 0.0;
      fit.take(row, point.y);
    }
    if (prior_.drive_ratio > 0.0) {
      const double weight = point_noise_ / prior_.sd_ratio;
      fit.take({0.0, weight, 0.0, 0.0}, weight * prior_.drive_ratio);
      // A short way tells nothing of what answers to the way: it is at most about this.
      const double way_weight = point_noise_ / (prior_.drive_ratio * kMostAnswer_ps2);
      fit.take({0.0, 0.0, way_weight, 0.0}, 0.0);
    }
    return fit;
  }

  double rest(double t0) const {
    SmallFit trial = fit(t0, false);
    if (!trial.solve() || trial.value(1) <= 0.0) return still_rest_;
    return trial.rest();
  }

  double still_rest() const { return still_rest_; }
  double point_noise() const { return point_noise_; }
  double reference() const { return reference_; }
  int start_unknown() const { return steps_ ? 4 : 3; }
  std::size_t points() const { return points_.size(); }

 private:
  std::span<const double> t_, i_;
  Integrals sums_;
  std::vector<Point> points_;
  MotionPrior prior_;
  double step_at_;
  bool steps_ = false;
  double point_noise_ = 0.0, still_rest_ = 0.0, reference_ = 0.0;
};

double best_start(const MotionScan& scan, double earliest, double latest) {
  double best = earliest, least = scan.rest(earliest);
  const double step = (latest - earliest) / kScanned;
  for (int k = 1; k <= kScanned; ++k) {
    const double t0 = earliest + k * step;
    const double rest = scan.rest(t0);
    if (rest < least) least = rest, best = t0;
  }
  double low = std::max(earliest, best - step), high = std::min(latest, best + step);
  constexpr double kGolden = 0.6180339887498949;
  double a = high - kGolden * (high - low), b = low + kGolden * (high - low);
  double at_a = scan.rest(a), at_b = scan.rest(b);
  for (int k = 0; k < kRefined; ++k) {
    if (at_a <= at_b) {
      high = b, b = a, at_b = at_a;
      a = high - kGolden * (high - low), at_a = scan.rest(a);
    } else {
      low = a, a = b, at_a = at_b;
      b = low + kGolden * (high - low), at_b = scan.rest(b);
    }
  }
  const double found = 0.5 * (low + high);
  return scan.rest(found) <= least ? found : best;
}

}  // namespace

MotionFit fit_motion(std::span<const double> t_s, std::span<const double> i_a,
                     std::span<const double> y_vs, double earliest_s, double latest_s,
                     double noise_vs, const MotionPrior& prior, double step_s) {
  MotionFit found;
  if (t_s.size() < 6 || !(latest_s > earliest_s)) return found;
  const MotionScan scan(t_s, i_a, y_vs, noise_vs, prior, step_s);
  if (scan.points() < 6) return found;
  const double start_s = best_start(scan, earliest_s, latest_s);
  SmallFit fit = scan.fit(start_s, false);
  if (!fit.solve() || fit.value(1) <= 0.0) return found;
  const double floor_vs = std::max(scan.point_noise(), 1e-12);
  found.gain_ratio = (scan.still_rest() - fit.rest()) / (floor_vs * floor_vs);
  if (found.gain_ratio < 25.0) return found;
  SmallFit with_start = scan.fit(start_s, true, fit.value(1), fit.value(2));
  if (!with_start.solve()) return found;
  const double freedom = std::max(1.0, static_cast<double>(scan.points()) - 4.0);
  const double sigma_vs = std::max(floor_vs, std::sqrt(fit.rest() / freedom));
  found.found = true;
  found.start_s = start_s;
  found.start_sd_s = sigma_vs * std::sqrt(with_start.variance(scan.start_unknown()));
  found.start_a = scan.at(start_s).i;
  found.level_vs = scan.reference() + fit.value(0);
  found.level_sd_vs = sigma_vs * std::sqrt(with_start.variance(0));
  found.drive_ratio = fit.value(1);
  return found;
}

}  // namespace sim
