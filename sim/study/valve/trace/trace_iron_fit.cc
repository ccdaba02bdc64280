#include "sim/study/valve/trace/trace_iron_fit.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "model/reproducible_math.h"
#include "model/valve/reluctance.h"
#include "sim/statistics/quantiles.h"
#include "sim/statistics/spread.h"
#include "sim/study/valve/fit/valve_fit_solve.h"

namespace sim::valve {
namespace {

constexpr std::size_t kMostPoints = 120;  // of one stretch
constexpr std::size_t kHeldPoints = 8;    // of one held at the stop
constexpr double kUnlike_ratio = 1.6;     // rms of one pulse over the median's
constexpr double kStated_ratio = 0.25;    // the setup's values are known to so much
constexpr double kWide_ratio = 1.0;       // resistance and inductance
constexpr std::size_t kNuisances = 3;     // per pulse: two edges, noise of its voltage
constexpr double kStep_ratio = 1e-3;      // of the central differences
constexpr double kEdgeStep_ratio = 1e-2;  // of an edge's own spread

struct Value {
  double& (*in)(model::Coil&);
  double known_ratio;
};
constexpr std::array kValues = {
    Value{[](model::Coil& c) -> double& { return c.resistance_ohm; }, kWide_ratio},
    Value{[](model::Coil& c) -> double& { return c.inductance_h; }, kWide_ratio},
    Value{[](model::Coil& c) -> double& { return c.reluctance.gap_m; }, kStated_ratio},
    Value{[](model::Coil& c) -> double& { return c.reluctance.leakage_h; }, kStated_ratio},
    Value{[](model::Coil& c) -> double& { return c.reluctance.saturation_vs; }, kStated_ratio},
    Value{[](model::Coil& c) -> double& { return c.reluctance.half_current_a; }, kStated_ratio},
    Value{[](model::Coil& c) -> double& { return c.reluctance.eddy_ohm; }, kStated_ratio}};

/// Mean of neighbouring samples of a stretch.
struct Point {
  double i_a = 0.0, v_v = 0.0, u_vs = 0.0, q_as = 0.0, weight_ratio = 0.0, lift_m = 0.0;
  double share_ratio = 0.0;  // of the command that is over
  std::size_t pulse = 0;
  bool after = false;  // the command's end
};

/// Integrated noise of the voltage at the end of a command, one standard deviation.
double walk_vs(const PulseWindow& window) {
  double square = 0.0, count = 0.0;  // tidy: unit V2, a count
  for (std::size_t k = window.on_clean + 1; k < window.off; ++k, count += 1.0)
    square += (window.v_v[k] - window.v_v[k - 1]) * (window.v_v[k] - window.v_v[k - 1]);
  if (count < 1.0) return 0.0;
  return std::sqrt(0.5 * square) * window.off_s / count;
}

class IronSquares {
 public:
  IronSquares(const std::vector<IronPulse>& pulses, const model::Coil& setup, double travel_m,
              double noise_a)
      : setup_(setup), travel_m_(travel_m), noise_a_(noise_a) {
    model::Coil coil = setup;
    for (std::size_t k = 0; k < kValues.size(); ++k)
      if (kValues[k].in(coil) > 0.0) free_.push_back(k);
    for (std::size_t p = 0; p < pulses.size(); ++p) {
      const PulseWindow& window = pulses[p].window;
      edges_vs_.push_back(
          {std::max(1e-9, std::abs(window.driven_v) * window.on_half_s),
           std::max(1e-9, std::abs(window.driven_v - window.released_v) * window.off_half_s),
           std::max(1e-9, walk_vs(window))});
      for (const StillSpan& span : pulses[p].spans) take(window, span, p);
    }
  }

  bool enough() const { return points_.size() > free_.size() + kNuisances * edges_vs_.size() + 10; }
  std::size_t unknowns() const { return free_.size() + kNuisances * edges_vs_.size(); }
  std::size_t place_of(std::size_t value) const {
    return static_cast<std::size_t>(std::find(free_.begin(), free_.end(), value) - free_.begin());
  }

  model::Coil coil_at(const Eigen::VectorXd& x) const {
    model::Coil coil = setup_;
    for (std::size_t j = 0; j < free_.size(); ++j)
      kValues[free_[j]].in(coil) *=
          model::exp_of(std::clamp(x(static_cast<Eigen::Index>(j)), -2.0, 2.0));
    keep_physical(coil, travel_m_);
    return coil;
  }

  Eigen::VectorXd residuals(const Eigen::VectorXd& x) const {
    const model::Coil coil = coil_at(x);
    const double rest_vs = rest_linkage_vs(coil);
    Eigen::VectorXd rows(static_cast<Eigen::Index>(points_.size() + unknowns()));
    Eigen::Index row = 0;
    for (const Point& point : points_) {
      const auto edge = static_cast<Eigen::Index>(free_.size() + kNuisances * point.pulse);
      double psi_vs = rest_vs + point.u_vs - coil.resistance_ohm * point.q_as +
                      edges_vs_[point.pulse][0] * x(edge);
      if (point.after) psi_vs += edges_vs_[point.pulse][1] * x(edge + 1);
      psi_vs += edges_vs_[point.pulse][2] * point.share_ratio * x(edge + 2);
      const double model_a = winding_current_a(coil, psi_vs, point.lift_m, point.v_v, point.i_a);
      rows(row++) = point.weight_ratio * (point.i_a - model_a) / noise_a_;
    }
    for (std::size_t j = 0; j < free_.size(); ++j)
      rows(row++) = x(static_cast<Eigen::Index>(j)) * statistics::kTwoSided95_ratio /
                    kValues[free_[j]].known_ratio;
    for (std::size_t j = free_.size(); j < unknowns(); ++j)
      rows(row++) = x(static_cast<Eigen::Index>(j));
    return rows;
  }

  SquaresProblem problem() const {
    const auto count = static_cast<Eigen::Index>(unknowns());
    SquaresProblem squares;
    squares.residuals = [this](const Eigen::VectorXd& x) { return residuals(x); };
    squares.start = Eigen::VectorXd::Zero(count);
    squares.steps = Eigen::VectorXd::Constant(count, kEdgeStep_ratio);
    squares.steps.head(static_cast<Eigen::Index>(free_.size())).setConstant(kStep_ratio);
    // The random walk of an integrated noise is one error of the whole pulse.
    for (const Point& point : points_) squares.blocks.push_back(static_cast<int>(point.pulse));
    int block = static_cast<int>(edges_vs_.size());
    for (std::size_t j = 0; j < unknowns(); ++j) squares.blocks.push_back(++block);
    return squares;
  }

  /// Of the pulse's own points; 0 where there is none.
  double rms_of_pulse_ratio(const Eigen::VectorXd& left, std::size_t pulse) const {
    double square = 0.0, count = 0.0;  // tidy: unit a count
    for (std::size_t k = 0; k < points_.size(); ++k) {
      if (points_[k].pulse != pulse) continue;
      square += left(static_cast<Eigen::Index>(k)) * left(static_cast<Eigen::Index>(k));
      count += 1.0;
    }
    return count > 0.0 ? std::sqrt(square / count) : 0.0;
  }
  double rms_ratio(const Eigen::VectorXd& left) const {
    const auto points = static_cast<Eigen::Index>(points_.size());
    return std::sqrt(left.head(points).squaredNorm() / static_cast<double>(points_.size()));
  }

 private:
  void take(const PulseWindow& window, const StillSpan& span, std::size_t pulse) {
    const std::size_t to = std::min(span.to, window.known);
    if (to < span.from + 2) return;
    // At its stop a saturated coil turns the walk of the integrated voltage into current: samples
    // there are not independent.
    const bool walks = span.at_stop && span.from < window.off;
    const std::size_t group = (to - span.from) / (walks ? kHeldPoints : kMostPoints) + 1;
    for (std::size_t k = span.from; k + group <= to; k += group) {
      Point point{.lift_m = span.at_stop ? travel_m_ : 0.0,
                  .pulse = pulse,
                  .after = span.from >= window.off};
      const auto n = static_cast<double>(group);
      for (std::size_t j = k; j < k + group; ++j) {
        point.i_a += window.i_a[j] / n, point.v_v += window.v_v[j] / n;
        point.u_vs += window.u_vs[j] / n, point.q_as += window.q_as[j] / n;
        point.share_ratio += std::clamp(window.t_s[j] / window.off_s, 0.0, 1.0) / n;
      }
      point.weight_ratio = walks ? 1.0 : std::sqrt(n);
      points_.push_back(point);
    }
  }

  model::Coil setup_;
  double travel_m_, noise_a_;
  std::vector<std::size_t> free_;
  std::vector<std::array<double, kNuisances>> edges_vs_;  // one standard deviation each
  std::vector<Point> points_;
};

}  // namespace

namespace {

/// The pulses that the circuit explains no worse than the others: in one that it does not explain
/// the plunger moved while it was taken for still.
std::vector<IronPulse> quiet_pulses(const std::vector<IronPulse>& pulses,
                                    const IronSquares& squares, const Eigen::VectorXd& left) {
  std::vector<double> rms;
  for (std::size_t p = 0; p < pulses.size(); ++p)
    rms.push_back(squares.rms_of_pulse_ratio(left, p));
  const double most = kUnlike_ratio * statistics::upper_median_of(rms);
  std::vector<IronPulse> quiet;
  for (std::size_t p = 0; p < pulses.size(); ++p)
    if (rms[p] <= most) quiet.push_back(pulses[p]);
  return quiet;
}

}  // namespace

std::vector<StillSpan> surely_still_spans(const PulseWindow& window, bool opened) {
  constexpr double kSmall_ratio = 0.3, kHeld_ratio = 0.6;
  const std::size_t driven = window.off - window.on;
  std::size_t small = window.on_clean;
  while (small < window.off && window.i_a[small] < kSmall_ratio * window.hold_a) ++small;
  const std::size_t held = std::max(held_until(window, kHeld_ratio * window.hold_a),
                                    std::min(window.off_clean + 3, window.known));
  return {{window.on_clean, small, false},
          {window.off - driven * 2 / 5, window.off, opened},
          {window.off_clean, held, opened}};
}

IronFit fit_iron(const std::vector<IronPulse>& pulses, const model::Coil& setup, double travel_m,
                 double noise_a) {
  IronFit found{.coil = setup};
  const IronSquares squares(pulses, setup, travel_m, std::max(noise_a, 1e-6));
  if (!squares.enough()) return found;
  const SquaresFit fit = solve_squares(squares.problem());
  if (!fit.solved) return found;
  const std::vector<IronPulse> quiet = quiet_pulses(pulses, squares, fit.left);
  if (quiet.size() < pulses.size()) {
    const IronFit better = fit_iron(quiet, setup, travel_m, noise_a);
    if (better.told) return better;
  }
  found.told = true;
  found.coil = squares.coil_at(fit.x);
  const auto sd = [&](std::size_t value) {
    const auto at = static_cast<Eigen::Index>(squares.place_of(value));
    return std::sqrt(fit.covariance(at, at));
  };
  found.resistance_sd_ohm = found.coil.resistance_ohm * sd(0);
  found.inductance_sd_h = found.coil.inductance_h * sd(1);
  found.misfit_ratio = squares.rms_ratio(fit.left);
  return found;
}

}  // namespace sim::valve
