// Distance that this row has gone, for the part of the delay that is a distance.
//
//   place += v(t + dt/2) dt      v in um/s, dt in us, so the sum is in picometres and loses nothing
//
// In       row speed, instants             Out   place_pm; only its differences mean something
// State    the running sum, 64 bits: 9200 km
// Errors   time that runs backwards or leaps by more than 1 s adds nothing (the call comes every
//          ms); so does a speed that is not known (0)
// Checked  tests/controller/odometer_test.cc
#pragma once

#include <cstdint>

#include "controller/row_motion.h"
#include "controller/ticks.h"

namespace controller {

struct Odometer {
  std::int64_t place_pm = 0;
  std::uint32_t at_ticks = 0;
};

/// Brings the odometer to `now`. The middle of the stretch makes a steady ramp exact.
inline void advance(Odometer& odometer, const RowMotion& motion, std::uint32_t now_ticks) {
  const std::int32_t dt_us = since_us(now_ticks, odometer.at_ticks);
  if (dt_us > 0 && dt_us <= kMicro) {
    const std::uint32_t middle = later(odometer.at_ticks, dt_us / 2);
    odometer.place_pm += std::int64_t{row_speed_umps(motion, middle)} * dt_us;
  }
  odometer.at_ticks = now_ticks;
}

/// Where the row was `ago_us` before now, by the same ramp backwards.
inline std::int64_t place_ago_pm(const Odometer& odometer, const RowMotion& motion,
                                 std::int32_t ago_us) {
  const std::uint32_t middle = later(odometer.at_ticks, -(ago_us / 2));
  return odometer.place_pm - std::int64_t{row_speed_umps(motion, middle)} * ago_us;
}

inline constexpr std::int64_t kSeedPlacePm = 8'000;

/// A place as a seed keeps it: in steps of 8 nm, which wrap after 34 m.
inline std::uint32_t place_8nm(std::int64_t place_pm) {
  return static_cast<std::uint32_t>(divide_rounded(place_pm, kSeedPlacePm));
}

/// The way from a seed's place to now, between -17 and 17 m.
inline std::int64_t gone_since_pm(const Odometer& odometer, std::uint32_t from_8nm) {
  const std::uint32_t gone_8nm = place_8nm(odometer.place_pm) - from_8nm;
  return static_cast<std::int32_t>(gone_8nm) * kSeedPlacePm;
}

}  // namespace controller
