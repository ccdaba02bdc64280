// The seed's way from the sensor to rest in the furrow. Draws are standard normal and come from outside.
//
//   conveyor, geared   T_del = path / (gear v)         belt speed = gear * ground speed
//   conveyor, timed    T_del = path / belt_speed
//   gravity            T_del = (vt/g) acosh(exp(g h / vt^2)) from rest; with entry speed u0 the same law shifted;
//                      bounce and roll: half-normal forward tail, scale growing with v from its value at 8 km/h
//
// Place    x_seed = x_row(t_edge + T_del) + drop_x + bounce
// Errors   EXPECTS speed > 0, path or height > 0
// Source   fall with quadratic drag: textbook mechanics; scatter figures are this project's own assumption
// Checked  tests/published/free_fall_test.cc, tests/model/delivery_test.cc
#pragma once

#include <cstdint>

namespace model {

enum class DeliveryKind : std::uint8_t { kConveyorGeared, kConveyorTimed, kGravity };

struct DeliveryParams {
  DeliveryKind kind = DeliveryKind::kConveyorGeared;
  double path_m = 0.12;            // along the belt from sensor to release
  double gear_ratio = 1.0;         // belt speed over ground speed
  double belt_speed_mps = 2.0;     // timed conveyor
  double height_m = 0.45;          // gravity: fall below the sensor
  double entry_speed_mps = 0.0;    // gravity: downward speed at the sensor
  double terminal_speed_mps = 10.0;
  double time_scatter_s = 0.3e-3;  // sd of the delivery time
  double rest_scatter_m = 3e-3;    // conveyor: sd of the rest position
  double roll_scatter_m = 15e-3;   // gravity: sd of bounce and roll at 8 km/h, grows in proportion to v
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
Delivered deliver(const DeliveryParams& params, double row_speed_mps, double sensor_shift_m, const DeliveryDraws& draws);
/// The same without scatter: what a delay table can know.
double nominal_delivery_time_s(const DeliveryParams& params, double row_speed_mps);

}  // namespace model
