#include "model/seed/delivery.h"

#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {
namespace {

constexpr double kRollReference_mps = 8.0 * shared::kKilometrePerHour_mps;

// v dv/dz = g (1 - v^2/vt^2) gives vt^2 - v^2 = (vt^2 - u0^2) exp(-2 g z/vt^2), and the time is the
// integral of dz/v. With E = exp(g h/vt^2) and r = u0/vt it is
// (vt/g) ln((E + sqrt(E^2 - 1 + r^2))/(1 + r)): one form below, at and above terminal speed.
// Checks: r = 1 leaves ln E, that is h/vt, an even fall; r = 0 is acosh(E).
// The form is written with m = E - 1 so that weak drag (m near 0) loses no digits: the logarithm's
// argument less one is (m + sqrt(m (m + 2) + r^2) - r)/(1 + r), which tends to sqrt(2 g h)/vt, the
// fall without drag.
double fall_time_s(const DeliveryParams& params, double fall_m) {
  EXPECTS(fall_m > 0.0 && params.terminal_speed_mps > 0.0 && params.entry_speed_mps >= 0.0);
  const double g_mps2 = shared::kStandardGravity_mps2;
  const double vt_mps = params.terminal_speed_mps;
  const double r = params.entry_speed_mps / vt_mps;
  const double m = expm1_of(g_mps2 * fall_m / (vt_mps * vt_mps));
  const double over_one_ratio = (m + (std::sqrt(m * (m + 2.0) + r * r) - r)) / (1.0 + r);
  return vt_mps / g_mps2 * log1p_of(over_one_ratio);
}

double delivery_time_s(const DeliveryParams& params, double row_speed_mps, double sensor_shift_m) {
  switch (params.kind) {
    case DeliveryKind::kConveyorGeared: {
      EXPECTS(row_speed_mps > 0.0 && params.gear_ratio > 0.0);
      EXPECTS(params.path_m + sensor_shift_m > 0.0);
      return (params.path_m + sensor_shift_m) / (params.gear_ratio * row_speed_mps);
    }
    case DeliveryKind::kConveyorTimed: {
      EXPECTS(params.belt_speed_mps > 0.0);
      EXPECTS(params.path_m + sensor_shift_m > 0.0);
      return (params.path_m + sensor_shift_m) / params.belt_speed_mps;
    }
    case DeliveryKind::kGravity: break;
  }
  return fall_time_s(params, params.height_m + sensor_shift_m);
}

// Scale of the half-normal: its variance is scale^2 (1 - 2/pi).
double roll_scale_m(const DeliveryParams& params, double row_speed_mps) {
  EXPECTS(row_speed_mps >= 0.0);
  const double sd_m = params.roll_scatter_m * (row_speed_mps / kRollReference_mps);
  return sd_m / std::sqrt(1.0 - 2.0 / shared::kPi_ratio);
}

}  // namespace

Delivered deliver(const DeliveryParams& params, double row_speed_mps, double sensor_shift_m,
                  const DeliveryDraws& draws) {
  const double mean_s = delivery_time_s(params, row_speed_mps, sensor_shift_m);
  Delivered delivered;
  delivered.time_s = std::max(0.0, mean_s + params.time_scatter_s * draws.time_normal_ratio);
  delivered.bounce_m =
      params.kind == DeliveryKind::kGravity
          ? roll_scale_m(params, row_speed_mps) * std::fabs(draws.rest_normal_ratio)
          : params.rest_scatter_m * draws.rest_normal_ratio;
  return delivered;
}

double nominal_delivery_time_s(const DeliveryParams& params, double row_speed_mps) {
  return delivery_time_s(params, row_speed_mps, 0.0);
}

double mean_bounce_m(const DeliveryParams& params, double row_speed_mps) {
  if (params.kind != DeliveryKind::kGravity) return 0.0;
  return roll_scale_m(params, row_speed_mps) * mean_bounce_draw_ratio(params);
}

// The mean of a half-normal of scale 1.
double mean_bounce_draw_ratio(const DeliveryParams& params) {
  return params.kind == DeliveryKind::kGravity ? std::sqrt(2.0 / shared::kPi_ratio) : 0.0;
}

}  // namespace model
