// First motion: see trace_events.h.
#include <algorithm>
#include <array>
#include <cmath>
#include <vector>

#include "sim/statistics/spread.h"
#include "sim/study/valve/trace/trace_events.h"
#include "sim/study/valve/trace/trace_fit.h"

namespace sim::valve {
namespace {

constexpr int kScanned = 18;
constexpr int kRefined = 11;
constexpr std::size_t kMostPoints = 50;
constexpr double kMostAnswer_ps2 = 1e7;  // stiffness over mass: spring, pressure on the seat
constexpr double kSeatShare_ratio = 0.15;
// Waves in the lines and friction also act while the plunger starts. Their error is 2 % of the time
// over which the start is fitted, as traces of another integrator with lines show
// (tests/published).
constexpr double kUnmodelled_ratio = 0.02;
// Drop of the sum of squares, over the variance, that noise does not reach with three more
// unknowns.
constexpr double kLeastGain_ratio = 16.0;
constexpr int kMostAnswers = 1;

// The force that answers to the lift: the pressure on a seat that opens, or a stiffness.
enum class Answer { kSeat, kStiffness };

// Values over time with their first and second integrals from the first sample on.
struct Integrals {
  std::vector<double> value, once, twice;

  Integrals(std::span<const double> t, std::vector<double> values)
      : value(std::move(values)), once(t.size()), twice(t.size()) {
    for (std::size_t k = 1; k < t.size(); ++k) {
      const double dt = t[k] - t[k - 1];
      once[k] = once[k - 1] + 0.5 * dt * (value[k] + value[k - 1]);
      twice[k] = twice[k - 1] + dt * once[k - 1] + dt * dt * (2.0 * value[k - 1] + value[k]) / 6.0;
    }
  }
  // Second integral from time t[k] + d on is twice(t) - twice0 - once0 (t - t0).
  double once_at(std::size_t k, double d) const { return once[k] + d * value[k]; }
  double twice_at(std::size_t k, double d) const {
    return twice[k] + d * (once[k] + 0.5 * d * value[k]);
  }
};

// How the pressure on the seat falls with the lift: the flow through a gap of x between two lines
// takes off the share 1 - (sqrt(1 + x^2) - x)^2, x in units of the gap that resists as much as the
// line.
double seat_share_ratio(double lift_ratio) {
  const double x = std::abs(lift_ratio);
  const double root = std::sqrt(1.0 + x * x) - x;
  const double share = 1.0 - root * root;
  return lift_ratio < 0.0 ? -share : share;
}

struct Point {
  double t = 0.0, y = 0.0, i = 0.0, current = 0.0;
  std::array<double, kMostAnswers> answers{};
};

class MotionScan {
 public:
  MotionScan(const MotionData& data, double level_vs, const MotionPrior& prior, Answer answer)
      : data_(data),
        current_(data.t_s, std::vector<double>(data.i_a.begin(), data.i_a.end())),
        prior_(prior),
        answer_(answer) {
    take_answer(level_vs);
    const std::size_t count = data.t_s.size(), group = count / kMostPoints + 1;
    reference_ = data.y_vs[0];
    const std::span<const double> shape =
        data.error_shape_ratio.empty() ? data.i_a : data.error_shape_ratio;
    const auto n = static_cast<double>(group);
    for (std::size_t k = 0; k + group <= count; k += group) {
      Point mean;
      for (std::size_t j = k; j < k + group; ++j) {
        mean.t += data.t_s[j] / n, mean.y += (data.y_vs[j] - reference_) / n;
        mean.i += shape[j] / n, mean.current += current_.twice[j] / n;
        for (std::size_t a = 0; a < answers_.size(); ++a)
          mean.answers[a] += answers_[a].twice[j] / n;
      }
      points_.push_back(mean);
    }
    point_noise_ = data.noise_vs / std::sqrt(n);
    std::size_t after = 0;
    for (const Point& point : points_) after += point.t > data.step_s ? 1 : 0;
    steps_ = after >= 2 && after + 2 <= points_.size();
    // The sum of squares without any motion.
    SmallFit still(steps_ ? 2 : 1);
    for (const Point& point : points_)
      still.take({1.0, point.t > data.step_s ? 1.0 : 0.0}, point.y);
    if (still.solve()) still_rest_ = still.rest();
  }

  // Takes the answer to the lift from the linkage itself, lightly smoothed: two integrations remove
  // its noise.
  void take_answer(double level_vs) {
    const std::size_t count = data_.t_s.size();
    std::vector<double> lift(count), share(count);
    for (std::size_t k = 0; k < count; ++k) {
      const std::size_t from = k > 1 ? k - 2 : 0, to = std::min(count, k + 3);
      double sum = 0.0;
      for (std::size_t j = from; j < to; ++j) sum += data_.y_vs[j] - level_vs;
      lift[k] = sum / static_cast<double>(to - from);
      share[k] = data_.height_vs * seat_share_ratio(lift[k] / (kSeatShare_ratio * data_.height_vs));
    }
    answers_.emplace_back(data_.t_s, answer_ == Answer::kSeat ? share : lift);
  }

  // Current at t0 and its slope: a straight line through the samples around it.
  double current_at(double t0, double* slope_aps = nullptr) const {
    const std::size_t k = index_of(t0);
    const std::size_t from = k > 2 ? k - 2 : 0, to = std::min(data_.t_s.size(), k + 4);
    double n = 0.0, st = 0.0, si = 0.0, stt = 0.0, sti = 0.0;
    for (std::size_t j = from; j < to; ++j) {
      const double t = data_.t_s[j] - t0, i = data_.i_a[j];
      n += 1.0, st += t, si += i, stt += t * t, sti += t * i;
    }
    const double spread = n * stt - st * st;
    const double slope = spread > 0.0 ? (n * sti - st * si) / spread : 0.0;
    if (slope_aps != nullptr) *slope_aps = slope;
    return (si - slope * st) / n;
  }

  // Unknowns: level, c1, the answers, the error of the inductance, a step where there is one, the
  // start where it is asked for.
  SmallFit fit(double t0, bool with_start, double c1 = 0.0) const {
    const std::size_t answers = answers_.size();
    const std::size_t coil_column = 2 + answers, step_column = coil_column + 1;
    const std::size_t start_column = step_column + (steps_ ? 1 : 0);
    SmallFit fit(static_cast<int>(start_column) + (with_start ? 1 : 0));
    const std::size_t k = index_of(t0);
    const double from = t0 - data_.t_s[k];
    double slope = 0.0;
    const double i0 = current_at(t0, &slope);
    for (const Point& point : points_) {
      const double d = point.t - t0;
      SmallFit::Row row{1.0};
      row[coil_column] = point.i;
      if (d > 0.0) {
        row[1] = point.current - current_.twice_at(k, from) - current_.once_at(k, from) * d -
                 0.5 * i0 * d * d;
        for (std::size_t a = 0; a < answers; ++a)
          row[2 + a] =
              point.answers[a] - answers_[a].twice_at(k, from) - answers_[a].once_at(k, from) * d;
      }
      if (steps_) row[step_column] = point.t > data_.step_s ? 1.0 : 0.0;
      if (with_start) row[start_column] = d > 0.0 ? -0.5 * c1 * slope * d * d : 0.0;
      fit.take(row, point.y);
    }
    if (prior_.drive_ratio > 0.0) {
      const double weight = point_noise_ / prior_.sd_ratio;
      fit.take({0.0, weight}, weight * prior_.drive_ratio);
    }
    // The inductance is known as well as its own fit says.
    SmallFit::Row coil{};
    coil[coil_column] = point_noise_ / data_.inductance_sd_h;
    fit.take(coil, 0.0);
    // A short lift does not determine the answer to it: a prior bounds the answer to about this
    // size.
    for (std::size_t a = 0; a < answers; ++a) {
      SmallFit::Row row{};
      row[2 + a] = point_noise_ / kMostAnswer_ps2;
      fit.take(row, 0.0);
    }
    return fit;
  }

  double rest(double t0) const {
    SmallFit trial = fit(t0, false);
    if (!trial.solve(false) || trial.value(1) <= 0.0) return still_rest_;
    return trial.rest();
  }

  double still_rest() const { return still_rest_; }
  double point_noise() const { return point_noise_; }
  double reference() const { return reference_; }
  int start_unknown() const { return 3 + static_cast<int>(answers_.size()) + (steps_ ? 1 : 0); }
  std::size_t points() const { return points_.size(); }

 private:
  std::size_t index_of(double t0) const {
    const auto above = std::upper_bound(data_.t_s.begin(), data_.t_s.end(), t0);
    return static_cast<std::size_t>(std::max<std::ptrdiff_t>(above - data_.t_s.begin(), 1)) - 1;
  }

  const MotionData& data_;
  Integrals current_;
  std::vector<Integrals> answers_;
  std::vector<Point> points_;
  MotionPrior prior_;
  Answer answer_;
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

MotionFit fit_from_level(const MotionData& data, double level_vs, const MotionPrior& prior,
                         Answer answer) {
  MotionFit found;
  const MotionScan scan(data, level_vs, prior, answer);
  if (scan.points() < 6) return found;
  const double start_s = best_start(scan, data.earliest_s, data.latest_s);
  SmallFit fit = scan.fit(start_s, false);
  if (!fit.solve() || fit.value(1) <= 0.0) return found;
  const double floor_vs = std::max(scan.point_noise(), 1e-12);
  found.gain_ratio = (scan.still_rest() - fit.rest()) / (floor_vs * floor_vs);
  if (found.gain_ratio < kLeastGain_ratio) return found;
  SmallFit with_start = scan.fit(start_s, true, fit.value(1));
  if (!with_start.solve()) return found;
  const int unknowns = scan.start_unknown() + 1;
  const double freedom = std::max(1.0, static_cast<double>(scan.points()) - unknowns);
  const double sigma_vs = std::max(floor_vs, std::sqrt(fit.rest() / freedom));
  found.found = true;
  found.start_s = start_s;
  found.start_sd_s = sigma_vs * std::sqrt(with_start.variance(unknowns - 1));
  found.start_a = scan.current_at(start_s);
  found.level_vs = scan.reference() + fit.value(0);
  found.level_sd_vs = sigma_vs * std::sqrt(with_start.variance(0));
  found.drive_ratio = fit.value(1);
  return found;
}

}  // namespace

MotionFit fit_motion(const MotionData& data, const MotionPrior& prior) {
  if (data.t_s.size() < 6 || !(data.latest_s > data.earliest_s)) return {};
  // The answer counts the lift from the level, which the first fit gives.
  double level_vs = 0.0;
  for (std::size_t k = 0; k < 3; ++k) level_vs += data.y_vs[k] / 3.0;
  const Answer plain = data.opening ? Answer::kSeat : Answer::kStiffness;
  const MotionFit first = fit_from_level(data, level_vs, prior, plain);
  if (!first.found || data.quick) return first;
  MotionFit found = fit_from_level(data, first.level_vs, prior, plain);
  if (!found.found) return found;
  const double hidden_ratio = data.noise_vs / data.height_vs;  // share of the way that noise hides
  const double unmodelled_s =
      (kUnmodelled_ratio + hidden_ratio) * (data.t_s.back() - found.start_s);
  double apart_s = 0.0;
  if (data.opening) {
    // How a seat answers is not known: half the change by a plain stiffness is taken as
    // uncertainty.
    const MotionFit other = fit_from_level(data, first.level_vs, prior, Answer::kStiffness);
    if (other.found) {
      apart_s = 0.5 * (found.start_s - other.start_s);
      found.drive_sd_ratio = 0.5 * std::abs(found.drive_ratio - other.drive_ratio);
      found.drive_ratio = 0.5 * (found.drive_ratio + other.drive_ratio);
    }
  }
  found.start_sd_s = statistics::root_of_squares(found.start_sd_s, apart_s, unmodelled_s);
  return found;
}

}  // namespace sim::valve
