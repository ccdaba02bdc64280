#include "model/seed/seed_sensor.h"

#include <gtest/gtest.h>

namespace {

using model::Passing;
using model::SensorRecord;

// Round figures: dwell 3 ms, jitter sd 1 ms, false pulse 4 ms after the dwell.
model::SeedSensorParams given_sensor() {
  model::SeedSensorParams params;
  params.dwell_s = 3e-3;
  params.jitter_s = 1e-3;
  params.missed_ratio = 0.01;
  params.doubled_ratio = 0.01;
  params.doubled_after_s = 4e-3;
  return params;
}

Passing seed_at(double time_s) { return {time_s, 1.0, 1.0, 0.0}; }

SensorRecord sensed(const std::vector<Passing>& passings) {
  return model::sense(given_sensor(), passings);
}

}  // namespace

TEST(SeedSensor, EachSeedGivesAPulseOfItsDwell) {
  const SensorRecord record = sensed({seed_at(0.100), seed_at(0.133)});
  ASSERT_EQ(record.pulses.size(), 2u);
  EXPECT_DOUBLE_EQ(record.pulses[1].rising_s, 0.133);
  EXPECT_DOUBLE_EQ(record.pulses[1].falling_s, 0.136);
  EXPECT_EQ(record.pulses[1].passing, 1);
  EXPECT_TRUE(record.sensed[0] && record.sensed[1]);
}

TEST(SeedSensor, TwoSeedsCloserThanTheDwellReadAsOne) {
  const SensorRecord record = sensed({seed_at(0.100), seed_at(0.102), seed_at(0.133)});
  ASSERT_EQ(record.pulses.size(), 2u);
  EXPECT_DOUBLE_EQ(record.pulses[0].rising_s, 0.100);
  EXPECT_DOUBLE_EQ(record.pulses[0].falling_s, 0.105);  // free when the second has passed
  EXPECT_TRUE(record.sensed[0]);
  EXPECT_FALSE(record.sensed[1]);
}

TEST(SeedSensor, AChainOfCloseSeedsIsOneLongPulse) {
  const SensorRecord record = sensed({seed_at(0.100), seed_at(0.102), seed_at(0.104)});
  ASSERT_EQ(record.pulses.size(), 1u);
  EXPECT_DOUBLE_EQ(record.pulses[0].falling_s, 0.107);
}

TEST(SeedSensor, AMissedSeedLeavesNoEdgeAndHidesNobody) {
  Passing missed = seed_at(0.100);
  missed.missed_uniform_ratio = 0.005;
  const SensorRecord record = sensed({missed, seed_at(0.101)});
  ASSERT_EQ(record.pulses.size(), 1u);
  EXPECT_EQ(record.pulses[0].passing, 1);
  EXPECT_FALSE(record.sensed[0]);
  EXPECT_TRUE(record.sensed[1]);
}

TEST(SeedSensor, ADoubledEdgeFollowsShortlyAfter) {
  Passing doubled = seed_at(0.100);
  doubled.doubled_uniform_ratio = 0.005;
  const SensorRecord record = sensed({doubled, seed_at(0.133)});
  ASSERT_EQ(record.pulses.size(), 3u);
  EXPECT_TRUE(record.pulses[1].false_one);
  EXPECT_EQ(record.pulses[1].passing, 0);
  EXPECT_DOUBLE_EQ(record.pulses[1].rising_s, 0.107);  // 100 + 3 + 4
  EXPECT_DOUBLE_EQ(record.pulses[1].falling_s, 0.110);
  EXPECT_FALSE(record.pulses[2].false_one);
}

TEST(SeedSensor, AFalsePulseSwallowsTheSeedUnderIt) {
  Passing doubled = seed_at(0.100);
  doubled.doubled_uniform_ratio = 0.005;
  const SensorRecord record = sensed({doubled, seed_at(0.108)});
  ASSERT_EQ(record.pulses.size(), 2u);
  EXPECT_TRUE(record.pulses[1].false_one);
  EXPECT_DOUBLE_EQ(record.pulses[1].falling_s, 0.111);
  EXPECT_FALSE(record.sensed[1]);
  // In the other order the seed keeps its edge, and the false pulse only prolongs it.
  const SensorRecord before = sensed({doubled, seed_at(0.106)});
  ASSERT_EQ(before.pulses.size(), 2u);
  EXPECT_FALSE(before.pulses[1].false_one);
  EXPECT_TRUE(before.sensed[1]);
}

TEST(SeedSensor, JitterMovesTheRisingEdgeAlone) {
  Passing late = seed_at(0.100);
  late.jitter_normal_ratio = 0.4;
  const SensorRecord record = sensed({late});
  EXPECT_DOUBLE_EQ(record.pulses[0].rising_s, 0.1004);
  EXPECT_DOUBLE_EQ(record.pulses[0].falling_s, 0.103);
}

TEST(SeedSensor, EdgesAlternateInTimeUnderAnyJitter) {
  std::vector<Passing> passings;
  for (int i = 0; i < 200; ++i) {
    Passing seed = seed_at(0.1 + 0.0035 * i);
    seed.jitter_normal_ratio = ((i * 37) % 21 - 10) * 1.0;  // up to 10 ms either way: absurd
    passings.push_back(seed);
  }
  const SensorRecord record = sensed(passings);
  EXPECT_EQ(record.pulses.size(), 200u);
  double last_s = 0.0;
  for (const model::SensorPulse& pulse : record.pulses) {
    EXPECT_GE(pulse.rising_s, last_s);
    EXPECT_GE(pulse.falling_s, pulse.rising_s);
    last_s = pulse.falling_s;
  }
}

TEST(SeedSensor, NoSeedsNoPulses) { EXPECT_TRUE(sensed({}).pulses.empty()); }
