#include "sim/study/delay/measured_points.h"

#include <algorithm>
#include <cmath>

#include "shared/check.h"
#include "sim/measure/record.h"
#include "sim/statistics/quantiles.h"
#include "sim/statistics/spread.h"
#include "sim/text/document.h"
#include "sim/text/quantity.h"

namespace sim::delay {
namespace {

constexpr double kContradiction_frac = 0.999;
constexpr double kFalseName_frac = 0.05;
constexpr double kSpeedStep_mps = 0.5 / 3.6;     // steps of the speed that a message proposes
constexpr double kSlowestHelp_mps = 2.0 / 3.6;   // below it no planter drives evenly
constexpr double kSameSpeed_ratio = 1.0 + 1e-9;  // speeds that differ by rounding only

// Normal equations of wanted = a v + b. Weights are inverse variances.
struct Normal {
  double vv = 0.0, v1 = 0.0, one = 0.0, vy = 0.0, y = 0.0;

  void take(double speed_mps, double wanted_m, double sd_m) {
    const double weight = 1.0 / (sd_m * sd_m);
    vv += weight * speed_mps * speed_mps;
    v1 += weight * speed_mps;
    one += weight;
    vy += weight * speed_mps * wanted_m;
    y += weight * wanted_m;
  }
  void take(const DelayPoint& p) {
    take(p.speed_mps, p.speed_mps * p.delay_s - p.offset_m, p.uncertainty_m);
  }
  void take(const UncertainLaw& law) {
    EXPECTS(law.time_sd_s > 0.0 && law.distance_sd_m > 0.0);
    const double rho = law.correlation_ratio;
    EXPECTS(rho > -1.0 && rho < 1.0);
    const double shrink = 1.0 / (1.0 - rho * rho);
    const double waa = shrink / (law.time_sd_s * law.time_sd_s);
    const double wbb = shrink / (law.distance_sd_m * law.distance_sd_m);
    const double wab = -rho * shrink / (law.time_sd_s * law.distance_sd_m);
    vv += waa;
    v1 += wab;
    one += wbb;
    vy += waa * law.time_s + wab * law.distance_m;
    y += wab * law.time_s + wbb * law.distance_m;
  }
  double determinant() const { return vv * one - v1 * v1; }
  UncertainLaw solved() const {
    const double d = determinant();
    UncertainLaw law;
    law.time_s = (one * vy - v1 * y) / d;
    law.distance_m = (vv * y - v1 * vy) / d;
    law.time_sd_s = std::sqrt(one / d);
    law.distance_sd_m = std::sqrt(vv / d);
    law.correlation_ratio = -v1 / std::sqrt(vv * one);
    return law;
  }
};

double residual_m(const DelayPoint& p, const UncertainLaw& law) {
  return law.time_s * p.speed_mps + law.distance_m -
         (p.speed_mps * p.delay_s - p.offset_m);  // positive: ahead of where the law puts the band
}

double variance_at_m2(const UncertainLaw& law, double speed_mps) {
  const double time_part_m = speed_mps * law.time_sd_s;
  return time_part_m * time_part_m + law.distance_sd_m * law.distance_sd_m +
         2.0 * law.correlation_ratio * time_part_m * law.distance_sd_m;
}

struct SpeedRange {
  double slowest_mps = 1e9, fastest_mps = 0.0;
  bool two() const { return fastest_mps > slowest_mps * kSameSpeed_ratio; }
};

// Speed range of the points in the fit, without the one that is left out on trial.
SpeedRange speeds_of(const std::vector<JudgedPoint>& points, std::size_t without) {
  SpeedRange range;
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (points[i].outlier || i == without) continue;
    range.slowest_mps = std::min(range.slowest_mps, points[i].point.speed_mps);
    range.fastest_mps = std::max(range.fastest_mps, points[i].point.speed_mps);
  }
  return range;
}

constexpr std::size_t kNone = static_cast<std::size_t>(-1);

struct Fit {
  Normal normal;
  UncertainLaw law;
  double chi_square = 0.0;
  int freedom = 0;

  double widening_ratio() const {
    return freedom > 0 ? std::max(1.0, std::sqrt(chi_square / freedom)) : 1.0;
  }
};

Fit fit_of(const std::vector<JudgedPoint>& points, std::size_t without = kNone) {
  Fit fit;
  fit.freedom = -2;
  for (std::size_t i = 0; i < points.size(); ++i)
    if (!points[i].outlier && i != without) fit.normal.take(points[i].point), ++fit.freedom;
  fit.law = fit.normal.solved();
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (points[i].outlier || i == without) continue;
    const double z = residual_m(points[i].point, fit.law) / points[i].point.uncertainty_m;
    fit.chi_square += z * z;
  }
  return fit;
}

std::string speed_text(double speed_mps) {
  return text::format_quantity(speed_mps, text::Kind::kSpeed, "km/h", 3);
}
std::string place_text(double length_m) {
  return text::format_quantity(length_m, text::Kind::kLength, "mm", 3);
}

double middle_uncertainty_m(const std::vector<JudgedPoint>& points) {
  std::vector<double> uncertainty_m;
  for (const JudgedPoint& judged : points) uncertainty_m.push_back(judged.point.uncertainty_m);
  return statistics::upper_median_of(std::move(uncertainty_m));
}

// The highest speed below the range at which one more point gives b well enough, in words.
std::string helpful_speed(const std::vector<JudgedPoint>& points, const PointRules& rules) {
  const SpeedRange range = speeds_of(points, kNone);
  const double sd_m = middle_uncertainty_m(points);
  Normal have;
  for (const JudgedPoint& judged : points) have.take(judged.point);
  const double steps = std::floor(range.slowest_mps / kSpeedStep_mps);
  for (double speed_mps = steps * kSpeedStep_mps; speed_mps >= kSlowestHelp_mps * 0.999;
       speed_mps -= kSpeedStep_mps) {
    Normal more = have;
    more.take(speed_mps, 0.0, sd_m);
    if (!(more.determinant() > 1e-9 * more.vv * more.one)) continue;
    if (statistics::kTwoSided95_ratio * more.solved().distance_sd_m <= rules.most_distance_half_m)
      return "measure also at " + speed_text(speed_mps) + " or below (to " + place_text(sd_m) + ")";
  }
  // If no speed does, the points themselves are too coarse. The slowest speed serves best.
  have.take(kSlowestHelp_mps, 0.0, sd_m);
  const double share =
      rules.most_distance_half_m / (statistics::kTwoSided95_ratio * have.solved().distance_sd_m);
  return "measure also at " + speed_text(kSlowestHelp_mps) + " and every point to " +
         place_text(sd_m * share) + " or better, as the mean of more bands";
}

void require_two_speeds(const std::vector<JudgedPoint>& points, const PointRules& rules) {
  const text::Place place{rules.file, points.empty() ? 0 : points.back().point.line, {}};
  if (points.empty()) text::fail({rules.file, 0, {}}, "speed", "no measured points");
  const SpeedRange range = speeds_of(points, kNone);
  if (!range.two()) {
    text::fail(place, "speed",
               "all points are at " + speed_text(range.fastest_mps) +
                   ": at one speed a time error and a distance error look alike; " +
                   helpful_speed(points, rules));
  }
  const Fit fit = fit_of(points);
  const double half_m = statistics::kTwoSided95_ratio * fit.law.distance_sd_m;
  if (half_m > rules.most_distance_half_m) {
    text::fail(place, "speed",
               "speeds of " + speed_text(range.slowest_mps) + " to " +
                   speed_text(range.fastest_mps) +
                   " with the stated uncertainties give the distance b only to +-" +
                   place_text(half_m) + ", wanted +-" + place_text(rules.most_distance_half_m) +
                   ": " + helpful_speed(points, rules));
  }
}

double left_out_ratio(const std::vector<JudgedPoint>& points, std::size_t index) {
  if (!speeds_of(points, index).two())
    return statistics::kNone_ratio;  // there is nothing to compare it with
  const Fit others = fit_of(points, index);
  const DelayPoint& p = points[index].point;
  const double variance_m2 =
      p.uncertainty_m * p.uncertainty_m + variance_at_m2(others.law, p.speed_mps);
  return residual_m(p, others.law) / std::sqrt(variance_m2) / others.widening_ratio();
}

// False where leaving out another point explains the rest as well: then the two contradict each
// other and neither is an outlier. Their chi-squares must differ by the 95 % limit at one degree.
bool clearly_worst(const std::vector<JudgedPoint>& points, std::size_t worst) {
  const double without_worst = fit_of(points, worst).chi_square;
  const double margin = statistics::chi_square_quantile_ratio(1.0 - kFalseName_frac, 1);
  for (std::size_t i = 0; i < points.size(); ++i) {
    if (i == worst || points[i].outlier || !speeds_of(points, i).two()) continue;
    if (fit_of(points, i).chi_square - without_worst < margin) return false;
  }
  return true;
}

void name_outliers(std::vector<JudgedPoint>& points, double& limit_ratio) {
  if (points.size() < 4) return;
  const double count = static_cast<double>(points.size());
  limit_ratio = statistics::normal_quantile_ratio(1.0 - kFalseName_frac / (2.0 * count));
  for (std::size_t named = 0; named < points.size() / 4; ++named) {
    std::size_t worst = kNone;
    for (std::size_t i = 0; i < points.size(); ++i) {
      if (points[i].outlier) continue;
      const double ratio = std::abs(left_out_ratio(points, i));
      if (ratio > limit_ratio &&
          (worst == kNone || ratio > std::abs(left_out_ratio(points, worst))))
        worst = i;
    }
    if (worst == kNone || !clearly_worst(points, worst)) return;
    points[worst].outlier = true;
  }
}

void require_agreement(const std::vector<JudgedPoint>& points, const Fit& fit,
                       const PointRules& rules) {
  if (fit.freedom < 1) return;
  const double limit = statistics::chi_square_quantile_ratio(kContradiction_frac, fit.freedom);
  if (fit.chi_square <= limit) return;
  std::size_t one = 0, other = 0;
  double most = -1.0;
  for (std::size_t i = 0; i < points.size(); ++i) {
    for (std::size_t k = i + 1; k < points.size(); ++k) {
      if (points[i].outlier || points[k].outlier) continue;
      const DelayPoint& p = points[i].point;
      const DelayPoint& q = points[k].point;
      const double apart = std::abs(residual_m(p, fit.law) - residual_m(q, fit.law)) /
                           statistics::root_of_squares(p.uncertainty_m, q.uncertainty_m);
      if (apart > most) most = apart, one = i, other = k;
    }
  }
  const double widen = std::sqrt(fit.chi_square / limit);
  const DelayPoint& p = points[one].point;
  const DelayPoint& q = points[other].point;
  text::fail({rules.file, q.line, {}}, "offset",
             "measured points contradict each other (chi-square " +
                 text::format_quantity(fit.chi_square, text::Kind::kRatio, "", 3) +
                 ", 99.9 % limit " + text::format_quantity(limit, text::Kind::kRatio, "", 3) +
                 " at " + std::to_string(fit.freedom) + " degrees of freedom): most of all lines " +
                 std::to_string(p.line) + " and " + std::to_string(q.line) + " (" +
                 speed_text(p.speed_mps) + " and " + speed_text(q.speed_mps) +
                 "). Measure these again, or state uncertainties " +
                 text::format_quantity(widen, text::Kind::kRatio, "", 3) +
                 " times as large: for these two " + place_text(p.uncertainty_m * widen) + " and " +
                 place_text(q.uncertainty_m * widen) + " would reconcile them");
}

double disagreement(const UncertainLaw& one, const UncertainLaw& other) {
  const double da = one.time_s - other.time_s;
  const double db = one.distance_m - other.distance_m;
  const double aa = one.time_sd_s * one.time_sd_s + other.time_sd_s * other.time_sd_s;
  const double bb =
      one.distance_sd_m * one.distance_sd_m + other.distance_sd_m * other.distance_sd_m;
  const double ab = one.correlation_ratio * one.time_sd_s * one.distance_sd_m +
                    other.correlation_ratio * other.time_sd_s * other.distance_sd_m;
  return (bb * da * da - 2.0 * ab * da * db + aa * db * db) / (aa * bb - ab * ab);
}

}  // namespace

void require_two_speeds(std::span<const DelayPoint> points, const PointRules& rules) {
  std::vector<JudgedPoint> judged;
  for (const DelayPoint& point : points) judged.push_back({.point = point});
  require_two_speeds(judged, rules);
}

MeasuredLaw fit_measured_points(std::span<const DelayPoint> points,
                                const std::optional<UncertainLaw>& simulated,
                                const PointRules& rules) {
  MeasuredLaw result;
  for (const DelayPoint& point : points) {
    EXPECTS(point.speed_mps > 0.0 && point.uncertainty_m > 0.0);
    result.points.push_back({.point = point});
  }
  require_two_speeds(result.points, rules);
  name_outliers(result.points, result.outlier_limit_ratio);
  require_two_speeds(result.points, rules);
  const Fit fit = fit_of(result.points);
  require_agreement(result.points, fit, rules);
  result.chi_square_ratio = fit.chi_square;
  result.freedom = fit.freedom;
  result.birge_ratio =
      fit.freedom > 0 ? std::sqrt(fit.chi_square / fit.freedom) : statistics::kNone_ratio;
  const double widen = fit.widening_ratio();
  result.law = fit.law;
  result.law.time_sd_s *= widen;
  result.law.distance_sd_m *= widen;
  if (simulated) {
    result.prior_given = true;
    result.prior_chi_square_ratio = disagreement(result.law, *simulated);
    result.prior_used = result.prior_chi_square_ratio <=
                        statistics::chi_square_quantile_ratio(kContradiction_frac, 2);
    if (result.prior_used) {
      Normal joined;
      joined.take(result.law);
      joined.take(*simulated);
      result.law = joined.solved();
    }
  }
  result.time_half_s = statistics::kTwoSided95_ratio * result.law.time_sd_s;
  result.distance_half_m = statistics::kTwoSided95_ratio * result.law.distance_sd_m;
  for (std::size_t i = 0; i < result.points.size(); ++i) {
    JudgedPoint& judged = result.points[i];
    judged.residual_m = residual_m(judged.point, result.law);
    judged.standardized_ratio = judged.residual_m / judged.point.uncertainty_m;
    judged.left_out_residual_ratio = left_out_ratio(result.points, i);
  }
  return result;
}

}  // namespace sim::delay
