#include "model/machine/travel.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

#include "shared/check.h"

namespace model {
namespace {

constexpr double kNever_s = std::numeric_limits<double>::quiet_NaN();

// One stretch of constant acceleration, seen from its start.
struct Stretch {
  double x_m = 0.0;
  double speed_mps = 0.0;
  double acceleration_mps2 = 0.0;
};

double after(const Stretch& from, double elapsed_s) {
  return from.x_m + elapsed_s * (from.speed_mps + 0.5 * from.acceleration_mps2 * elapsed_s);
}

// Index of the knot at or before the time, so that at a step the later values count; -1 before the
// first knot.
std::ptrdiff_t knot_before(const Travel& travel, double time_s) {
  const auto later =
      std::upper_bound(travel.knots.begin(), travel.knots.end(), time_s,
                       [](double t_s, const TravelKnot& k) { return t_s < k.time_s; });
  return later - travel.knots.begin() - 1;
}

double row_speed_mps(const TravelKnot& knot, double y_unit_m) {
  return knot.speed_mps - knot.yaw_rate_radps * y_unit_m;
}

double row_x_at_knot_m(const Travel& travel, double y_unit_m, std::size_t knot) {
  return travel.distance_m[knot] - y_unit_m * travel.turned_rad[knot];
}

// The stretch that starts at a knot, along the row's own track. After the last knot the speed is
// held.
Stretch stretch_from(const Travel& travel, double y_unit_m, std::size_t knot) {
  Stretch stretch{row_x_at_knot_m(travel, y_unit_m, knot),
                  row_speed_mps(travel.knots[knot], y_unit_m), 0.0};
  if (knot + 1 < travel.knots.size()) {
    const double lasts_s = travel.knots[knot + 1].time_s - travel.knots[knot].time_s;
    if (lasts_s > 0.0) {
      const double gained_mps = row_speed_mps(travel.knots[knot + 1], y_unit_m) - stretch.speed_mps;
      stretch.acceleration_mps2 = gained_mps / lasts_s;
    }
  }
  return stretch;
}

// Smallest s >= 0 with x + v s + a s^2/2 = goal, written so that nothing cancels for v >= 0:
//   s = 2 d/(v + sqrt(v^2 + 2 a d)),  d = goal - x >= 0.
// a = 0 gives d/v. a < 0 gives the first of the two roots, before the row turns back. With v < 0
// (only a > 0 can still reach the goal) the other form (sqrt - v)/a is the one that does not
// cancel. A row that stands still for good never arrives.
double first_arrival_s(const Stretch& from, double goal_m) {
  const double way_m = goal_m - from.x_m;
  if (way_m <= 0.0) return 0.0;
  const double v_mps = from.speed_mps;
  const double a_mps2 = from.acceleration_mps2;
  const double square_m2ps2 = v_mps * v_mps + 2.0 * a_mps2 * way_m;
  if (square_m2ps2 < 0.0) return kNever_s;
  const double root_mps = std::sqrt(square_m2ps2);
  if (v_mps < 0.0) return a_mps2 > 0.0 ? (root_mps - v_mps) / a_mps2 : kNever_s;
  return v_mps + root_mps > 0.0 ? 2.0 * way_m / (v_mps + root_mps) : kNever_s;
}

// Arrival within the stretch between a knot and the next; not-a-number when the goal lies beyond
// it. The stretch's end is compared as the table has it, so that rounding in the root cannot lose a
// goal that the next knot has passed.
double arrival_in_s(const Travel& travel, double y_unit_m, std::size_t knot, double goal_m) {
  const Stretch stretch = stretch_from(travel, y_unit_m, knot);
  const double begins_s = travel.knots[knot].time_s;
  if (knot + 1 == travel.knots.size()) return begins_s + first_arrival_s(stretch, goal_m);
  const double lasts_s = travel.knots[knot + 1].time_s - begins_s;
  const double s = first_arrival_s(stretch, goal_m);
  if (s <= lasts_s) return begins_s + s;
  if (row_x_at_knot_m(travel, y_unit_m, knot + 1) >= goal_m) return begins_s + lasts_s;
  return kNever_s;
}

// Smallest |y| at which a row would stand still, over all knots: between knots the row's speed is
// linear, so a row that runs forward at every knot runs forward everywhere.
double forward_reach_m(const std::vector<TravelKnot>& knots) {
  double reach_m = std::numeric_limits<double>::infinity();
  for (const TravelKnot& knot : knots) {
    if (knot.speed_mps < 0.0) return -1.0;
    if (knot.yaw_rate_radps != 0.0)
      reach_m = std::min(reach_m, knot.speed_mps / std::fabs(knot.yaw_rate_radps));
  }
  return reach_m;
}

}  // namespace

Travel make_travel(std::vector<TravelKnot> knots) {
  if (knots.empty()) throw std::invalid_argument("a travel profile needs at least one knot");
  for (std::size_t i = 0; i < knots.size(); ++i) {
    if (!std::isfinite(knots[i].time_s) || !std::isfinite(knots[i].speed_mps) ||
        !std::isfinite(knots[i].yaw_rate_radps))
      throw std::invalid_argument("a travel profile holds a number that is not finite");
    if (i > 0 && knots[i].time_s < knots[i - 1].time_s)
      throw std::invalid_argument("the times of a travel profile must not decrease");
  }
  Travel travel;
  travel.knots = std::move(knots);
  travel.distance_m.assign(travel.knots.size(), 0.0);
  travel.turned_rad.assign(travel.knots.size(), 0.0);
  // The mean of a linear function over a stretch is the mean of its ends: the trapezium is exact
  // here.
  for (std::size_t i = 1; i < travel.knots.size(); ++i) {
    const TravelKnot& a = travel.knots[i - 1];
    const TravelKnot& b = travel.knots[i];
    const double lasts_s = b.time_s - a.time_s;
    travel.distance_m[i] = travel.distance_m[i - 1] + 0.5 * (a.speed_mps + b.speed_mps) * lasts_s;
    travel.turned_rad[i] =
        travel.turned_rad[i - 1] + 0.5 * (a.yaw_rate_radps + b.yaw_rate_radps) * lasts_s;
  }
  travel.forward_reach_m = forward_reach_m(travel.knots);
  // Shift the origin from the first knot to time 0.
  const double x_at_start_m = row_motion_at(travel, 0.0, 0.0).x_ground_m;
  const double turned_at_start_rad = turned_rad(travel, 0.0);
  for (double& x_m : travel.distance_m) x_m -= x_at_start_m;
  for (double& rad : travel.turned_rad) rad -= turned_at_start_rad;
  return travel;
}

TravelKnot motion_at(const Travel& travel, double time_s) {
  EXPECTS(!travel.knots.empty());
  const std::ptrdiff_t before = knot_before(travel, time_s);
  if (before < 0)
    return {time_s, travel.knots.front().speed_mps, travel.knots.front().yaw_rate_radps};
  const auto knot = static_cast<std::size_t>(before);
  const TravelKnot& a = travel.knots[knot];
  if (knot + 1 == travel.knots.size()) return {time_s, a.speed_mps, a.yaw_rate_radps};
  const TravelKnot& b = travel.knots[knot + 1];
  const double way_ratio = (time_s - a.time_s) / (b.time_s - a.time_s);
  return {time_s, a.speed_mps + (b.speed_mps - a.speed_mps) * way_ratio,
          a.yaw_rate_radps + (b.yaw_rate_radps - a.yaw_rate_radps) * way_ratio};
}

double turned_rad(const Travel& travel, double time_s) {
  EXPECTS(!travel.knots.empty());
  const std::ptrdiff_t before = knot_before(travel, time_s);
  const auto knot = static_cast<std::size_t>(std::max<std::ptrdiff_t>(before, 0));
  const TravelKnot now = motion_at(travel, time_s);
  const double mean_radps = before < 0
                                ? now.yaw_rate_radps
                                : 0.5 * (travel.knots[knot].yaw_rate_radps + now.yaw_rate_radps);
  return travel.turned_rad[knot] + mean_radps * (time_s - travel.knots[knot].time_s);
}

RowMotion row_motion_at(const Travel& travel, double y_unit_m, double time_s) {
  EXPECTS(!travel.knots.empty());
  const std::ptrdiff_t before = knot_before(travel, time_s);
  const auto knot = static_cast<std::size_t>(std::max<std::ptrdiff_t>(before, 0));
  Stretch stretch = stretch_from(travel, y_unit_m, knot);
  if (before < 0) stretch.acceleration_mps2 = 0.0;
  const double elapsed_s = time_s - travel.knots[knot].time_s;
  return {after(stretch, elapsed_s), stretch.speed_mps + stretch.acceleration_mps2 * elapsed_s};
}

bool runs_forward(const Travel& travel, double y_unit_m) {
  return std::fabs(y_unit_m) <= travel.forward_reach_m;
}

Travel forward_part(const Travel& travel, double y_unit_m) {
  std::vector<TravelKnot> knots;
  for (std::size_t i = 0; i < travel.knots.size(); ++i) {
    const double speed_mps = row_speed_mps(travel.knots[i], y_unit_m);
    const double time_s = travel.knots[i].time_s;
    if (i > 0) {
      // v_a + (v_b - v_a) s = 0 inside the stretch: the share s is v_a/(v_a - v_b).
      const double before_mps = row_speed_mps(travel.knots[i - 1], y_unit_m);
      const double before_s = travel.knots[i - 1].time_s;
      if (before_mps * speed_mps < 0.0)
        knots.push_back(
            {before_s + (time_s - before_s) * before_mps / (before_mps - speed_mps), 0.0, 0.0});
    }
    knots.push_back({time_s, std::max(0.0, speed_mps), 0.0});
  }
  return make_travel(std::move(knots));
}

double time_at_row_x_s(const Travel& travel, double y_unit_m, double x_ground_m) {
  EXPECTS(!travel.knots.empty());
  const double start_s = std::min(0.0, travel.knots.front().time_s);
  const RowMotion start = row_motion_at(travel, y_unit_m, start_s);
  if (x_ground_m < start.x_ground_m) {
    const double held_mps = row_speed_mps(travel.knots.front(), y_unit_m);
    return held_mps > 0.0 ? start_s - (start.x_ground_m - x_ground_m) / held_mps : kNever_s;
  }
  if (x_ground_m == start.x_ground_m) return start_s;
  const double first_x_m = row_x_at_knot_m(travel, y_unit_m, 0);
  if (x_ground_m <= first_x_m) {  // the held stretch between time 0 and a later first knot
    const double held_mps = row_speed_mps(travel.knots.front(), y_unit_m);
    return start_s + (x_ground_m - start.x_ground_m) / held_mps;
  }
  std::size_t knot = 0;
  if (std::fabs(y_unit_m) <= travel.forward_reach_m) {
    // Places at the knots never fall, so the search halves. The goal lies in the stretch that ends
    // at the first knot at or past it.
    std::size_t high = travel.knots.size();
    std::size_t low = 0;  // place at `low` is before the goal
    while (high - low > 1) {
      const std::size_t middle = low + (high - low) / 2;
      (row_x_at_knot_m(travel, y_unit_m, middle) >= x_ground_m ? high : low) = middle;
    }
    knot = low;
  }
  for (; knot < travel.knots.size(); ++knot) {
    const double time_s = arrival_in_s(travel, y_unit_m, knot, x_ground_m);
    if (!std::isnan(time_s)) return time_s;
  }
  return kNever_s;
}

}  // namespace model
