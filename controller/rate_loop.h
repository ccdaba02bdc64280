// The row's flow by its meter, and what follows from it.
//
//   in-band flow = pulses * volume per pulse / band time
//     over a window that starts and ends with a meter pulse and holds at least 1 s of band time
//     (time during which liquid lies down as band, so the gaps do not count). The window's expected
//     volume is summed alongside: a change of speed inside it biases nothing.
//   trim += (expected - measured)/expected / 4 per window, held within 15 %: closed loop on the
//   current, only where lift can be set; else the machine trims the pressure from the reports.
//   rise += (measured/(expected (1 + trim)) - 1 - rise)/4 per window: by how much more flows than
//     the table says at the setting that the row has. Wear of seat and orifice shows here whether
//     or not the trim takes it out of the rate. A pressure above its set point and a meter that
//     reads high look the same.
//
// Anti-windup  the trim itself is bounded, and it rests while the table is at its end in that
//              direction
// Guard    a window that differs by more than half from the expected flow says that something is
//          broken (plugged, meter dead), not that the table is off: it is reported, not followed
// In       free-running pulse count, band time, expected flow (mm3/s)
// Errors   a count that leaps starts a new window
// Checked  tests/controller/rate_loop_test.cc
#pragma once

#include <cstdint>

#include "shared/controller_abi.h"

namespace controller {

struct RateLoop {
  std::int64_t mm3_per_pulse = 0;  // 0: no meter, the loop rests
  bool trims = false;
  bool started = false;
  std::uint32_t last_count = 0;
  std::uint32_t window_pulses = 0;
  std::int64_t window_band_us = 0;
  std::int64_t window_expected = 0;  // mm3/s times us
  bool flow_valid = false;
  std::int32_t flow_mm3ps = 0;      // measured in the last whole window
  std::int32_t expected_mm3ps = 0;  // mean of the same window
  std::int32_t trim_q16 = 0;
  std::int32_t rise_q16 = 0;
};

inline constexpr std::int32_t kMostTrimQ16 = 65'536 * 15 / 100;

RateLoop rate_loop_for(const sillion_config& config);
/// Call once per tick. `band_us`: band time since the last call; `may_rise`, `may_fall`: the table
/// has room in that direction.
void follow_meter(RateLoop& loop, std::uint32_t meter_pulses, std::int64_t band_us,
                  std::int32_t should_be_mm3ps, bool may_rise, bool may_fall);

}  // namespace controller
