// Losses in bursts against the closed form of the two-state channel (E. N. Gilbert, Bell System
// Technical Journal 39, 1960; E. O. Elliott, 42, 1963; from memory): with a chance p of turning bad
// and r of recovering, the share of bad frames is p/(p + r), and bad stretches last 1/r frames.
#include <gtest/gtest.h>

#include <cmath>

#include "sim/bench/radio_channel.h"

namespace {

constexpr int kFrames = 200'000;

struct Seen {
  double lost_ratio = 0.0;
  double burst_ratio = 0.0;  // mean length of a stretch of lost frames
};

Seen run(const sim::scenario::RadioSection& radio, std::uint64_t key) {
  sim::bench::RadioChannel channel(radio, {.rng_key = key}, 0);
  int lost = 0;
  int bursts = 0;
  bool before = false;
  for (int k = 0; k < kFrames; ++k) {
    const shared::Instant at{k};
    const bool gone = channel.carry({{sillion_frame{}, at, at}}, at).empty();
    lost += gone ? 1 : 0;
    bursts += gone && !before ? 1 : 0;
    before = gone;
  }
  EXPECT_EQ(channel.counts().lost, lost);
  return {static_cast<double>(lost) / kFrames, static_cast<double>(lost) / bursts};
}

// p = 2 %, r = 20 %: bad 1/11 of the time, bursts of 5. The state at frames k apart is correlated
// by (1 - p - r)^k = 0.78^k, so the share over N frames has an sd of
// sqrt(q (1 - q) (1.78/0.22) / N) = 0.00183 with q = 1/11; a burst's length has an sd of
// sqrt(1 - r)/r = 4.5, and there are N q r = 3636. The bounds are 5 sd: one key in 1.7 million
// falls outside.
TEST(BurstChannel, LosesTheShareAndTheBurstsOfTheClosedForm) {
  sim::scenario::RadioSection radio;
  radio.latency_s = 0.0;
  radio.worsens_ratio = 0.02;
  radio.recovers_ratio = 0.2;
  radio.lost_bad_ratio = 1.0;
  const Seen seen = run(radio, 11);
  const double bad_ratio = 0.02 / 0.22;
  EXPECT_NEAR(seen.lost_ratio, bad_ratio,
              5.0 * std::sqrt(bad_ratio * (1.0 - bad_ratio) * 1.78 / 0.22 / kFrames));
  EXPECT_NEAR(seen.burst_ratio, 5.0, 5.0 * std::sqrt(0.8) / 0.2 / std::sqrt(3636.0));
}

// 5 % lost in the good state, 60 % in the bad: 10/11 * 0.05 + 1/11 * 0.6 = 10 %. The variance is
// that of the states times (0.6 - 0.05)^2, and that of independent losses, at most 0.1 * 0.9 / N:
// together an sd of 0.0012.
TEST(BurstChannel, LosesInBothStates) {
  sim::scenario::RadioSection radio;
  radio.latency_s = 0.0;
  radio.worsens_ratio = 0.02;
  radio.recovers_ratio = 0.2;
  radio.lost_good_ratio = 0.05;
  radio.lost_bad_ratio = 0.6;
  EXPECT_NEAR(run(radio, 12).lost_ratio, 0.1, 5.0 * 0.0012);
}

}  // namespace
