// Wear of plunger and seat: shares of a life, the gap that they leave, what leaks through it.
//
//   share    s = cycles / life_cycles + k volume / life_volume,   k: abrasiveness of the liquid
//            Archard: lost material is proportional to load times distance, so linear in cycles;
//            erosion is taken linear in the volume that passes. Shares of life add up (Palmgren,
//            Miner). A life that is not known takes no part.
//   gap      h = s h_life: radial, all round, over a land of length L
//   leak     g = pi d h^3/(12 mu L), Q = g dp: laminar flow through a concentric annulus, in
//            parallel with the seat at any lift. The node stays closed form:
//              dp (1 + g Zs) = D - Zs Q_seat:  D' = D/(1 + g Zs), Zs' = Zs/(1 + g Zs),
//              Q = Q_seat + g dp
//   smallest Q_leak/rate + dose of the shortest pulse that can be distinguished from none: the
//            smallest dose that repeats (this project's definition); times the rate, the least mean
//            flow
//   left     (1 - s)/(1/life_cycles + k dose/life_volume) cycles at the present dose
//
// In       SI          Out   as named        State   none, pure functions
// Errors   EXPECTS not-negative cycles, volumes, gap; land, viscosity, rate > 0 where they divide
// Valid    linear laws, no running-in; concentric (2.5 times the leak when fully off centre);
//          laminar (Re = rho Q/(pi d mu) below about 1000); spring and friction do not age
// Source   J. F. Archard, J. Appl. Phys. 24, 1953; A. Palmgren 1924, M. A. Miner, J. Appl. Mech.
//          12, 1945; annulus: textbook (the plane slit pi d wide)
// Checked  tests/model/valve/wear_test.cc, tests/published/wear_test.cc
#pragma once

#include <algorithm>

#include "model/row_params.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {

/// Whether anything says how long the valve lasts.
inline bool life_known(const Wear& wear) {
  return wear.life_cycles_ratio > 0.0 || wear.life_volume_m3 > 0.0;
}

/// Share of the life that is used up; may exceed 1.
inline double wear_share_ratio(const Wear& wear, double abrasiveness_ratio) {
  EXPECTS(wear.cycles_ratio >= 0.0 && wear.volume_m3 >= 0.0 && abrasiveness_ratio >= 0.0);
  double share_ratio = 0.0;
  if (wear.life_cycles_ratio > 0.0) share_ratio += wear.cycles_ratio / wear.life_cycles_ratio;
  if (wear.life_volume_m3 > 0.0)
    share_ratio += abrasiveness_ratio * wear.volume_m3 / wear.life_volume_m3;
  return share_ratio;
}

inline double worn_gap_m(const Wear& wear, double abrasiveness_ratio) {
  EXPECTS(wear.gap_at_life_m >= 0.0);
  return wear.gap_at_life_m * wear_share_ratio(wear, abrasiveness_ratio);
}

/// Flow per pressure through a concentric annulus.
inline double annulus_m3pspa(double diameter_m, double gap_m, double land_m, double viscosity_pas) {
  EXPECTS(land_m > 0.0 && viscosity_pas > 0.0 && gap_m >= 0.0);
  return shared::kPi_ratio * diameter_m * gap_m * gap_m * gap_m / (12.0 * viscosity_pas * land_m);
}

/// g of the worn pair; 0 when it is new.
inline double leak_m3pspa(const Valve& valve, const Liquid& liquid) {
  const double gap_m = worn_gap_m(valve.wear, liquid.abrasiveness_ratio);
  if (gap_m == 0.0) return 0.0;
  return annulus_m3pspa(valve.seat.diameter_m, gap_m, valve.wear.land_m, liquid.viscosity_pas);
}

/// Smallest dose that repeats at this rate: what leaks between two pulses is part of it.
inline double smallest_dose_m3(double leak_m3ps, double shortest_dose_m3, double pulse_rate_hz) {
  EXPECTS(leak_m3ps >= 0.0 && shortest_dose_m3 >= 0.0 && pulse_rate_hz > 0.0);
  return leak_m3ps / pulse_rate_hz + shortest_dose_m3;
}

struct Duty {
  double pulse_rate_hz = 0.0;
  double dose_m3 = 0.0;  // of one pulse
  double speed_mps = 0.0;
  double width_m = 0.0;  // of one row
};

struct LifeLeft {
  bool known = false;
  double cycles_ratio = 0.0;
  double volume_m3 = 0.0;
  double time_s = 0.0;   // at work
  double area_m2 = 0.0;  // of one row
};

inline LifeLeft life_left(const Wear& wear, double abrasiveness_ratio, const Duty& duty) {
  EXPECTS(duty.pulse_rate_hz > 0.0 && duty.dose_m3 >= 0.0);
  if (!life_known(wear)) return {};
  double per_cycle_ratio = 0.0;
  if (wear.life_cycles_ratio > 0.0) per_cycle_ratio += 1.0 / wear.life_cycles_ratio;
  if (wear.life_volume_m3 > 0.0)
    per_cycle_ratio += abrasiveness_ratio * duty.dose_m3 / wear.life_volume_m3;
  if (!(per_cycle_ratio > 0.0)) return {};  // nothing wears: a volume's life without any volume
  const double left_ratio = std::max(0.0, 1.0 - wear_share_ratio(wear, abrasiveness_ratio));
  LifeLeft left{.known = true, .cycles_ratio = left_ratio / per_cycle_ratio};
  left.volume_m3 = left.cycles_ratio * duty.dose_m3;
  left.time_s = left.cycles_ratio / duty.pulse_rate_hz;
  left.area_m2 = left.time_s * duty.speed_mps * duty.width_m;
  return left;
}

}  // namespace model
