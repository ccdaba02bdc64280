#include "sim/measure/spacing.h"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>
#include <vector>

#include "shared/check.h"

namespace sim::measure {
namespace {

constexpr double kUndefined_ratio = std::numeric_limits<double>::quiet_NaN();

std::size_t class_of(double spacing_m, double theoretical_spacing_m) {
  const double upper_ratio[4] = {0.5, 1.5, 2.5, 3.5};
  constexpr double kSlack_ratio = 1e-9;
  const double r = spacing_m / theoretical_spacing_m;
  std::size_t c = 0;
  while (c < 4 && r > upper_ratio[c] + kSlack_ratio) ++c;
  return c;
}

struct Moments {
  double mean_m = kUndefined_ratio;
  double squares_m2 = 0.0;  // sum of squared differences from the mean
};

Moments moments_of(std::span<const double> values_m) {
  Moments moments;
  if (values_m.empty()) return moments;
  double sum_m = 0.0;
  for (double x_m : values_m) sum_m += x_m;
  moments.mean_m = sum_m / static_cast<double>(values_m.size());
  for (double x_m : values_m) moments.squares_m2 += (x_m - moments.mean_m) * (x_m - moments.mean_m);
  return moments;
}

double share(long long part, long long whole) {
  return whole > 0 ? static_cast<double>(part) / static_cast<double>(whole) : kUndefined_ratio;
}

double root_over(double squares_m2, long long divisor) {
  return divisor > 0 ? std::sqrt(squares_m2 / static_cast<double>(divisor)) : kUndefined_ratio;
}

SpacingQuality quality_of(const long long (&classes)[5], const Moments& single, const Moments& all,
                          double theoretical_spacing_m) {
  SpacingQuality quality;
  std::copy(std::begin(classes), std::end(classes), std::begin(quality.classes));
  const auto& [one, two, three, four, five] = quality.classes;
  const long long n = one + two + three + four + five;
  quality.spacings = n;

  quality.simple.multiples_ratio = share(one, n);
  quality.simple.misses_ratio = share(three + four + five, n);
  quality.simple.quality_of_feed_ratio = share(two, n);
  quality.simple.precision_ratio = root_over(single.squares_m2, two - 1) / theoretical_spacing_m;

  const long long intervals = two + 2 * three + 3 * four + 4 * five;
  quality.iso.multiples_ratio = share(one, intervals);
  quality.iso.misses_ratio = share(three + 2 * four + 3 * five, intervals);
  quality.iso.quality_of_feed_ratio = share(n - 2 * one, intervals);
  quality.iso.precision_ratio = root_over(single.squares_m2, two) / theoretical_spacing_m;

  quality.mean_m = all.mean_m;
  quality.sd_m = root_over(all.squares_m2, n - 1);
  return quality;
}

}  // namespace

SpacingQuality spacing_quality(std::span<const double> spacings_m, double theoretical_spacing_m) {
  EXPECTS(theoretical_spacing_m > 0.0);
  long long classes[5] = {};
  std::vector<double> singles_m;
  for (double x_m : spacings_m) {
    const std::size_t c = class_of(x_m, theoretical_spacing_m);
    ++classes[c];
    if (c == 1) singles_m.push_back(x_m);
  }
  return quality_of(classes, moments_of(singles_m), moments_of(spacings_m), theoretical_spacing_m);
}

void SpacingSums::take(double spacing_m, double theoretical_spacing_m) {
  const std::size_t c = class_of(spacing_m, theoretical_spacing_m);
  ++classes[c];
  all.take(spacing_m);
  if (c == 1) singles.take(spacing_m);
}

void SpacingSums::take(const SpacingSums& other) {
  for (std::size_t c = 0; c < classes.size(); ++c) classes[c] += other.classes[c];
  singles.take(other.singles);
  all.take(other.all);
}

SpacingQuality spacing_quality(const SpacingSums& sums, double theoretical_spacing_m) {
  EXPECTS(theoretical_spacing_m > 0.0);
  long long classes[5] = {};
  std::copy(sums.classes.begin(), sums.classes.end(), std::begin(classes));
  return quality_of(classes, {sums.singles.mean(), sums.singles.squares()},
                    {sums.all.mean(), sums.all.squares()}, theoretical_spacing_m);
}

}  // namespace sim::measure
