// When the valve has to open and close for one seed.
//
//   Steady speed   D = a + b/v at reference band B0 and lead T_lead0; the valve opens
//                  D + (B0 - B)/(2v) - (T_lead - T_lead0) + trim/v after the edge and stays open
//                  for B/v + T_lead - T_lag
//   Any speed      the same by distance:          x(t_open + T_lead)  = x(t_edge + T_d) + path
//                                              x(t_close + T_lag)  = x(t_edge + T_d) + path + B
//                  T_d = a + T_lead0 (the delivery time), path = b + (B0 - B)/2 + trim
//                  With v constant this is the line above. The outlet must have gone the path
//                  between the seed's rest and the liquid's touch-down; the time part runs first,
//                  the lead last, and the distance is measured in between.
//   Speed ahead    v + a_x t; what is left of a distance r takes t = r/(v + a_x t/2), two passes
//                  from t = r/v: off by (a_x t/v)^3/8 of t, 0.02 us at 0.5 m/s2, 4 m/s, 0.1 s
//   Short bands    an on time below shortest_on is lengthened evenly at both ends: the centre stays
//
// In       seed, odometer, row speed          Out   us from now, negative: already past
// Units    us, um, um/s; 64-bit products      State none
// Errors   speeds below 50 mm/s count as 50 mm/s (the row is closed then anyway)
// Checked  tests/controller/delay_law_test.cc
#pragma once

#include <cstdint>

#include "controller/odometer.h"
#include "controller/row_motion.h"
#include "controller/seed_queue.h"
#include "shared/controller_abi.h"

namespace controller {

inline constexpr std::int32_t kSlowestUmps = 50'000;  // at or below: standing

struct DelayLaw {
  std::int32_t delivery_us = 0;  // T_d
  std::int32_t path_um = 0;
  std::int32_t band_um = 0;
  std::int32_t lead_us = 0;  // now
  std::int32_t lag_us = 0;
  std::int32_t shortest_on_us = 0;
};

struct Firing {
  std::int32_t open_in_us = 0;
  std::int32_t close_in_us = 0;
};

DelayLaw delay_law_for(const sillion_config& config, std::int32_t lead_us, std::int32_t lag_us);
/// Time to travel `distance_um` from now on, with the sign of the distance.
std::int32_t travel_time_us(std::int64_t distance_um, std::int32_t speed_umps,
                            std::int32_t accel_umps2);
/// Notes the odometer at the end of the seed's delivery time once that has passed.
void place_seed(Seed& seed, const DelayLaw& law, const Odometer& odometer, const RowMotion& motion);
/// Times of opening and closing command of this seed, counted from the odometer's instant.
Firing firing_of(const Seed& seed, const DelayLaw& law, const Odometer& odometer,
                 const RowMotion& motion);
/// Time from edge to opening command at this steady speed.
std::int32_t steady_delay_us(const DelayLaw& law, std::int32_t speed_umps);

}  // namespace controller
