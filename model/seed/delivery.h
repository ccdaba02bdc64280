// The seed's way from the sensor to rest in the furrow. Draws are standard normal, from outside.
//
//   conveyor, geared   T_del = path / (gear v)         belt speed = gear * ground speed
//   conveyor, timed    T_del = path / belt_speed
//   gravity            fall with quadratic drag and downward entry speed u0 = r vt:
//                      T_del = (vt/g) ln((E + sqrt(E^2 - 1 + r^2)) / (1 + r)),  E = exp(g h / vt^2)
//                      (from rest this is (vt/g) acosh(E), without drag sqrt(2h/g))
//   every kind         T_del += time_scatter * draw, never below 0
//   conveyor           bounce = rest_scatter * draw, both ways
//   gravity            bounce = c |draw|, forward only; c = roll_scatter (v / 8 km/h) / k with
//                      k = sqrt(1 - 2/pi), the sd of a half-normal of scale 1: so the sd of bounce
//                      is roll_scatter at 8 km/h and grows with v; its mean is c sqrt(2/pi)
//
// Place    x_seed = x_row(t_edge + T_del) + drop_x + bounce
// Errors   EXPECTS the divisors of the kind > 0; path or height > 0, also after the sensor's shift
// Source   fall with quadratic drag: textbook mechanics, v dv/dz = g (1 - v^2/vt^2); terminal speed
//          of maize about 10 m/s: common practice, no source; scatter: this project's assumption
// Checked  tests/published/free_fall_test.cc, tests/model/seed/delivery_test.cc
#pragma once

#include <cstdint>

namespace model {

enum class DeliveryKind : std::uint8_t { kConveyorGeared, kConveyorTimed, kGravity };

struct DeliveryParams {
  DeliveryKind kind = DeliveryKind::kConveyorGeared;
  double path_m = 0.12;          // along the belt from sensor to release
  double gear_ratio = 1.0;       // belt speed over ground speed
  double belt_speed_mps = 2.0;   // timed conveyor
  double height_m = 0.45;        // gravity: fall below the sensor
  double entry_speed_mps = 0.0;  // gravity: downward speed at the sensor
  double terminal_speed_mps = 10.0;
  double time_scatter_s = 0.3e-3;  // sd of the delivery time
  double rest_scatter_m = 3e-3;    // conveyor: sd of the rest position
  double roll_scatter_m = 15e-3;   // gravity: sd of bounce and roll at 8 km/h, grows with v
};

struct DeliveryDraws {
  double time_normal_ratio = 0.0;
  double rest_normal_ratio = 0.0;
};

struct Delivered {
  double time_s = 0.0;    // T_del
  double bounce_m = 0.0;  // along travel, added to the place of release
};

/// sensor_shift_m: how much further up than drawn this row's sensor sits (lengthens path or fall).
Delivered deliver(const DeliveryParams& params, double row_speed_mps, double sensor_shift_m,
                  const DeliveryDraws& draws);
/// The same without scatter: what a delay table can know of the delivery time.
double nominal_delivery_time_s(const DeliveryParams& params, double row_speed_mps);
/// Mean of the bounce: 0 for a conveyor, forward for a free fall. Seeds at rest show it, so a tuned
/// delay table carries it too.
double mean_bounce_m(const DeliveryParams& params, double row_speed_mps);
/// The draw of the rest place that gives this mean bounce at every speed.
double mean_bounce_draw_ratio(const DeliveryParams& params);

}  // namespace model
