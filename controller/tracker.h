// Follows a noisy signal that mostly runs straight: value and slope, with a memory that grows.
//
//   predict   x' = x + s dt
//   correct   r = z - x';  x = x' + alpha r;  s += beta r/dt
//             alpha = 2(2n-1)/(n(n+1)), beta = 6/(n(n+1)): the least-squares line through the last
//             n samples while n grows; held at n_most it is a filter that forgets
//   turn      sum of |r| beyond 0.75 sd, one sum per side; above 5 sd the line has turned: n falls
//             to 4 and grows anew. False alarms come about once in 4600 samples of white residuals
//             (Siegmund's approximation of the sum's run length), a slope of 2.5 sd per sample is
//             seen after 3 to 4.
//   outlier   a residual beyond the gate, which grows with gaps of up to 0.3 s, is set aside once;
//             a second one on the same side starts the line anew there
//
// Why      a constant speed wants a long memory (noise), a ramp a short one (bias); within a few
//          samples the two can be told apart
// Noise    white, n held: var x = sd^2 (2 alpha^2 + beta(2-3 alpha))/(alpha(4-beta-2 alpha))
// Units    the caller's, integers; slope per second; dt in us, 20 ms to 2 s (longer: start anew)
// Source   Bar-Shalom, Li, Kirubarajan, Estimation with Applications to Tracking and Navigation,
//          2001, ch. 6 (alpha-beta filter); Siegmund, Sequential Analysis, 1985 (from memory)
// Errors   a sample closer than 20 ms to the last is a repetition and ignored
// Checked  tests/controller/speed_estimate_test.cc
#pragma once

#include <cstdint>

namespace controller {

struct TrackerSetup {
  std::int64_t noise_sd = 0;     // of one sample, units of the signal
  std::int64_t gate = 0;         // after 0.1 s or less; it grows with gaps up to 0.3 s
  std::int64_t memory_us = 0;    // n_most samples span this
  std::int64_t full_circle = 0;  // the signal wraps at this; 0: it does not
};

struct Tracker {
  bool any = false;
  std::uint32_t at_ticks = 0;  // of the last sample used
  std::int64_t value = 0;
  std::int64_t slope_ps = 0;
  std::int32_t samples = 0;  // n
  std::int64_t above = 0;    // turn sums
  std::int64_t below = 0;
  std::int32_t aside = 0;  // side of a sample set aside: -1, 0, 1
};

enum class Taken : std::uint8_t { kRepeated, kSetAside, kUsed };

void restart(Tracker& tracker, std::int64_t value, std::uint32_t at_ticks);
Taken take_sample(Tracker& tracker, const TrackerSetup& setup, std::int64_t value,
                  std::uint32_t at_ticks);

}  // namespace controller
