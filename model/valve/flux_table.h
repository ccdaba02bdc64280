// A solenoid by a measured table of its flux linkage over lift and current.
//
//   y(x, i) = sum of the increments d_l(x) of the intervals of current, each linear in i and a
//   cubic Hermite in x over the table's lifts; y is odd in i.
//   Coenergy W'(x, i) = integral of y di;  F = dW'/dx at constant i;  W = i y - W'
//
//   Force, current and energy come from one interpolant, so energy closes to rounding whatever was
//   measured. The slopes in x are those of parabolas through three lifts, bounded so that an
//   increment stays above a tenth of its smaller end between two lifts: y rises with i everywhere
//   if it rises in the table, and i(y, x) is found by a count of intervals and one division.
//   Beyond the last current y goes on with the slope of the last interval.
//
// Errors   EXPECTS a sound table: 2 lifts and 2 currents or more, currents from 0, y rising with i
// Valid    no hysteresis and no remanence; F is continuous, dF/dx jumps at the table's lifts
// Source   coenergy as in any textbook of electromechanics; a cubic's Bernstein form, which bounds
//          the slopes; both from memory
// Checked  tests/model/valve/flux_table_test.cc
#pragma once

#include <algorithm>
#include <array>
#include <cstddef>
#include <vector>

#include "model/number.h"
#include "model/row_params.h"
#include "shared/check.h"

namespace model {

/// Data of the table, alike for every lane. An increment over one interval of lifts is
/// c0 + c1 u + c2 u^2 + c3 u^3 with u = (x - x_k) / (x_k+1 - x_k).
struct FluxTablePlan {
  std::vector<double> lift_m;
  std::vector<double> current_a;
  std::vector<std::array<double, 4>> increments_vs;  // interval of lifts by interval of currents
};

/// Where linkage, lift and current meet.
template <class Real>
struct FluxPoint {
  Real linkage_vs{};
  Real current_a{};
  Real slope_a_pvs{};  // di/dy at constant lift
  Real by_lift_apm{};  // -di/dx at constant linkage, which is dF/dy
  Real force_n{};      // dW'/dx
  Real coenergy_j{};   // W'
  Real growth_npm{};   // dF/dx at constant current
};

namespace flux {

/// Slope of the parabola through three points at the middle one, or at an end of them.
inline double parabola_slope(double back_slope, double ahead_slope,  // tidy: unit is V s/m
                             double back_m, double ahead_m) {
  return (back_slope * ahead_m + ahead_slope * back_m) / (back_m + ahead_m);
}

/// Slopes of one increment over the lifts.
inline std::vector<double> lift_slopes(const std::vector<double>& lift_m,  // tidy: unit is V s/m
                                       const std::vector<double>& increment_vs) {
  constexpr double kMost_ratio = 2.7;  // 3 (1 - 0.1): Bernstein coefficients above a tenth
  const std::size_t count = lift_m.size();
  std::vector<double> widths_m, secants;  // tidy: unit is V s/m
  for (std::size_t k = 0; k + 1 < count; ++k) {
    widths_m.push_back(lift_m[k + 1] - lift_m[k]);
    secants.push_back((increment_vs[k + 1] - increment_vs[k]) / widths_m[k]);
  }
  std::vector<double> slopes(count, secants.front());  // tidy: unit is V s/m
  if (count > 2) {
    for (std::size_t k = 1; k + 1 < count; ++k)
      slopes[k] = parabola_slope(secants[k - 1], secants[k], widths_m[k - 1], widths_m[k]);
    slopes.front() = 2.0 * secants.front() - slopes[1];
    slopes.back() = 2.0 * secants.back() - slopes[count - 2];
  }
  for (std::size_t k = 0; k < count; ++k) {
    const double most_vs = kMost_ratio * increment_vs[k];
    if (k + 1 < count) slopes[k] = std::max(slopes[k], -most_vs / widths_m[k]);
    if (k > 0) slopes[k] = std::min(slopes[k], most_vs / widths_m[k - 1]);
  }
  return slopes;
}

/// Value and derivatives in x of y or of W' at one current.
template <class Real>
struct Jet {
  Real value{}, by_lift{}, by_lift_twice{};  // tidy: units are those of what is held
};
template <class Real>
inline Jet<Real> operator+(const Jet<Real>& a, const Jet<Real>& b) {
  return {a.value + b.value, a.by_lift + b.by_lift, a.by_lift_twice + b.by_lift_twice};
}
template <class Real>
inline Jet<Real> operator*(const Jet<Real>& a, Real factor) {  // tidy: any unit
  return {a.value * factor, a.by_lift * factor, a.by_lift_twice * factor};
}
template <class Mask, class Real>
inline Jet<Real> select_jet(Mask mask, const Jet<Real>& yes, const Jet<Real>& no) {
  return {select(mask, yes.value, no.value), select(mask, yes.by_lift, no.by_lift),
          select(mask, yes.by_lift_twice, no.by_lift_twice)};
}

/// The interval of currents in which a point lies: linkage and coenergy where it begins.
template <class Real>
struct Interval {
  Real from_a{}, width_a{};
  Jet<Real> linkage, rise, coenergy;
};

template <class Real, class Past>
inline Interval<Real> interval_at(const FluxTablePlan& plan, Real lift_m, const Past& past) {
  const std::size_t intervals = plan.current_a.size() - 1;
  std::size_t k = 0;  // with lanes: a gather
  for (std::size_t j = 1; j + 1 < plan.lift_m.size(); ++j)
    k += lift_m >= Real(plan.lift_m[j]) ? 1U : 0U;
  const Real per_width_pm = Real(1.0 / (plan.lift_m[k + 1] - plan.lift_m[k]));
  const Real u = (lift_m - Real(plan.lift_m[k])) * per_width_pm;  // tidy: a ratio
  Interval<Real> found;
  Jet<Real> linkage, coenergy;
  for (std::size_t l = 0; l < intervals; ++l) {
    const std::array<double, 4>& c = plan.increments_vs[k * intervals + l];  // tidy: unit is V s
    const Jet<Real> rise = {
        c[0] + u * (c[1] + u * (c[2] + u * c[3])),
        (c[1] + u * (Real(2.0) * c[2] + u * (Real(3.0) * c[3]))) * per_width_pm,
        (Real(2.0) * c[2] + u * (Real(6.0) * c[3])) * (per_width_pm * per_width_pm)};
    const Real from_a = Real(plan.current_a[l]);
    const Real width_a = Real(plan.current_a[l + 1] - plan.current_a[l]);
    const auto inside = past(linkage.value, from_a);
    found = {.from_a = select(inside, from_a, found.from_a),
             .width_a = select(inside, width_a, found.width_a),
             .linkage = select_jet(inside, linkage, found.linkage),
             .rise = select_jet(inside, rise, found.rise),
             .coenergy = select_jet(inside, coenergy, found.coenergy)};
    coenergy = coenergy + (linkage + rise * Real(0.5)) * width_a;
    linkage = linkage + rise;
  }
  return found;
}

/// All of a point, from the interval in which its current lies.
template <class Real>
inline FluxPoint<Real> point_in(const Interval<Real>& in, Real beyond_a, Real sign_ratio) {
  const Real share = beyond_a / in.width_a;  // tidy: a ratio
  const Jet<Real> linkage = in.linkage + in.rise * share;
  const Jet<Real> coenergy = in.coenergy + (in.linkage + linkage) * (Real(0.5) * beyond_a);
  const Real slope_a_pvs = in.width_a / in.rise.value;
  return {.linkage_vs = sign_ratio * linkage.value,
          .current_a = sign_ratio * (in.from_a + beyond_a),
          .slope_a_pvs = slope_a_pvs,
          .by_lift_apm = sign_ratio * linkage.by_lift * slope_a_pvs,
          .force_n = coenergy.by_lift,
          .coenergy_j = coenergy.value,
          .growth_npm = coenergy.by_lift_twice};
}

}  // namespace flux

inline FluxTablePlan make_flux_table_plan(const LinkageTable& table) {
  const std::size_t lifts = table.lift_m.size(), currents = table.current_a.size();
  EXPECTS(lifts >= 2 && currents >= 2 && table.linkage_vs.size() == lifts * currents);
  EXPECTS(table.current_a.front() == 0.0);
  FluxTablePlan plan{.lift_m = table.lift_m, .current_a = table.current_a, .increments_vs = {}};
  plan.increments_vs.resize((lifts - 1) * (currents - 1));
  for (std::size_t l = 0; l + 1 < currents; ++l) {
    std::vector<double> rise_vs;
    for (std::size_t k = 0; k < lifts; ++k) {
      const double* row_vs = &table.linkage_vs[k * currents];
      rise_vs.push_back(row_vs[l + 1] - row_vs[l]);
      EXPECTS(rise_vs.back() > 0.0);
    }
    const auto slopes = flux::lift_slopes(table.lift_m, rise_vs);
    for (std::size_t k = 0; k + 1 < lifts; ++k) {
      const double width_m = table.lift_m[k + 1] - table.lift_m[k];
      const double step_vs = rise_vs[k + 1] - rise_vs[k];
      const double left_vs = slopes[k] * width_m, right_vs = slopes[k + 1] * width_m;
      plan.increments_vs[k * (currents - 1) + l] = {rise_vs[k], left_vs,
                                                    3.0 * step_vs - 2.0 * left_vs - right_vs,
                                                    left_vs + right_vs - 2.0 * step_vs};
    }
  }
  return plan;
}

template <class Real>
inline FluxPoint<Real> flux_of_linkage(const FluxTablePlan& plan, Real linkage_vs, Real lift_m) {
  const Real size_vs = abs_of(linkage_vs);
  const flux::Interval<Real> in =
      flux::interval_at(plan, lift_m, [&](Real from_vs, Real) { return !(size_vs < from_vs); });
  const Real beyond_a = (size_vs - in.linkage.value) * in.width_a / in.rise.value;
  const Real sign_ratio = select(linkage_vs < Real(0.0), Real(-1.0), Real(1.0));
  return flux::point_in(in, beyond_a, sign_ratio);
}

template <class Real>
inline FluxPoint<Real> flux_of_current(const FluxTablePlan& plan, Real current_a, Real lift_m) {
  const Real size_a = abs_of(current_a);
  const flux::Interval<Real> in =
      flux::interval_at(plan, lift_m, [&](Real, Real from_a) { return !(size_a < from_a); });
  const Real sign_ratio = select(current_a < Real(0.0), Real(-1.0), Real(1.0));
  return flux::point_in(in, size_a - in.from_a, sign_ratio);
}

/// Stored energy W = i y - W'.
inline double flux_energy_j(const FluxTablePlan& plan, double linkage_vs, double lift_m) {
  const FluxPoint<double> at = flux_of_linkage(plan, linkage_vs, lift_m);
  return at.current_a * linkage_vs - at.coenergy_j;
}

}  // namespace model
