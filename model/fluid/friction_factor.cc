#include "model/fluid/friction_factor.h"

#include <array>
#include <cmath>
#include <cstddef>
#include <vector>

#include "model/reproducible_math.h"

namespace model {
namespace {

constexpr double kGrid_ratio = 5.0;
constexpr std::size_t kPoints = 4097;

double sixteenth_power(double x_ratio) {
  for (int k = 0; k < 4; ++k) x_ratio *= x_ratio;
  return x_ratio;
}

double extra_of_formula(double reynolds_ratio) {
  return (churchill_ratio(reynolds_ratio) - 64.0 / reynolds_ratio) * reynolds_ratio *
         reynolds_ratio;
}

double loss_of_formula(double reynolds_ratio) {
  const double laminar_ratio = 64.0 / reynolds_ratio;
  return (1.0 - laminar_ratio / churchill_ratio(reynolds_ratio)) /
         memory_time_ratio(reynolds_ratio);
}

// The cubic of one interval, x from 0 to 1: both curves side by side in one line of the cache.
struct alignas(64) Interval {
  std::array<double, 4> extra_ratio{};
  std::array<double, 4> loss_ratio{};
};

using Points = std::array<double, kPoints>;

// Lagrange's cubic through the points -1, 0, 1, 2 around an interval, by powers of x.
std::array<double, 4> cubic_of(const Points& points, std::size_t interval) {
  std::size_t at = interval < 1 ? 1 : interval;
  if (at > kPoints - 3) at = kPoints - 3;
  const double a_ratio = points[at - 1];
  const double b_ratio = points[at];
  const double c_ratio = points[at + 1];
  const double d_ratio = points[at + 2];
  std::array<double, 4> k{b_ratio, c_ratio - a_ratio / 3.0 - b_ratio / 2.0 - d_ratio / 6.0,
                          (a_ratio + c_ratio) / 2.0 - b_ratio,
                          (d_ratio - a_ratio) / 6.0 + (b_ratio - c_ratio) / 2.0};
  if (interval == at) return k;
  // The first and the last interval use their neighbour's cubic: x moves by one.
  const double h = interval < at ? -1.0 : 1.0;
  return {k[0] + h * (k[1] + h * (k[2] + h * k[3])), k[1] + h * (2.0 * k[2] + 3.0 * h * k[3]),
          k[2] + 3.0 * h * k[3], k[3]};
}

std::vector<Interval> make_table() {
  Points extra_ratio{};  // both are 0 at the first point
  Points loss_ratio{};
  for (std::size_t i = 1; i < kPoints; ++i) {
    const double reynolds_ratio = kLaminarReynolds_ratio + kGrid_ratio * static_cast<double>(i);
    extra_ratio[i] = extra_of_formula(reynolds_ratio);
    loss_ratio[i] = loss_of_formula(reynolds_ratio);
  }
  std::vector<Interval> table(kPoints - 1);
  for (std::size_t i = 0; i < table.size(); ++i)
    table[i] = {.extra_ratio = cubic_of(extra_ratio, i), .loss_ratio = cubic_of(loss_ratio, i)};
  return table;
}

const std::vector<Interval>& table() {
  static const std::vector<Interval> made = make_table();
  return made;
}

double horner(const std::array<double, 4>& k, double x_ratio) {
  return k[0] + x_ratio * (k[1] + x_ratio * (k[2] + x_ratio * k[3]));
}

}  // namespace

double churchill_ratio(double reynolds_ratio) {
  const double laminar_ratio = 64.0 / reynolds_ratio;
  if (reynolds_ratio <= kLaminarReynolds_ratio) return laminar_ratio;
  const double a_ratio = sixteenth_power(2.457 * 0.9 * log_of(reynolds_ratio / 7.0));
  const double b_ratio = sixteenth_power(37530.0 / reynolds_ratio);
  const double sum_ratio = a_ratio + b_ratio;
  const double turbulent_ratio = 1.0 / (sum_ratio * std::sqrt(sum_ratio));
  const double eighth_ratio = 0.125 * laminar_ratio;
  const double square_ratio = eighth_ratio * eighth_ratio;
  const double cube_ratio = square_ratio * square_ratio * square_ratio;
  // laminar (1 + turbulent part)^(1/12): no digit of 64/Re is lost where that part is small.
  return laminar_ratio * exp_of(log1p_of(turbulent_ratio / (cube_ratio * cube_ratio)) / 12.0);
}

double memory_time_ratio(double reynolds_ratio) {
  const double log_ratio = log_of(reynolds_ratio);
  const double kappa_ratio = (log_of(15.29) - 0.0567 * log_ratio) / log_of(10.0);
  return 12.86 * exp_of(-kappa_ratio * log_ratio);
}

Turbulence turbulence_at(double reynolds_ratio) {
  if (reynolds_ratio <= kLaminarReynolds_ratio) return {};
  const double place_ratio = (reynolds_ratio - kLaminarReynolds_ratio) / kGrid_ratio;
  if (!(place_ratio < static_cast<double>(kPoints - 1)))
    return {.extra_ratio = extra_of_formula(reynolds_ratio),
            .loss_ratio = loss_of_formula(reynolds_ratio)};
  const auto at = static_cast<std::ptrdiff_t>(place_ratio);
  const Interval& interval = table()[static_cast<std::size_t>(at)];
  const double x_ratio = place_ratio - static_cast<double>(at);
  return {.extra_ratio = horner(interval.extra_ratio, x_ratio),
          .loss_ratio = horner(interval.loss_ratio, x_ratio)};
}

}  // namespace model
