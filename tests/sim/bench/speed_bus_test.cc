#include "sim/bench/speed_bus.h"

#include <gtest/gtest.h>

#include "shared/row_frames.h"

namespace {

std::uint32_t get16(const std::uint8_t* bytes) {
  return bytes[0] | (static_cast<std::uint32_t>(bytes[1]) << 8);
}

// Layout of ISO 11783-7 ground-based speed: 2.778 m/s forward is DA0A in bytes 0 and 1, forward is
// 1 in byte 7.
TEST(SpeedBus, SpeedStandsInThousandthsOfAMetreASecond) {
  model::SpeedSignalParams params;
  params.speed_noise_mps = 0.0;
  const auto signal =
      model::make_speed_signal(model::make_travel({{.time_s = 0.0, .speed_mps = 2.778}}), params);
  const auto frames = sim::bench::bus_frames(signal, 3, {});
  ASSERT_EQ(frames.size(), 2u);
  EXPECT_EQ(frames[0].id, static_cast<std::uint32_t>(SILLION_BUS_GROUND_SPEED));
  EXPECT_EQ(frames[0].bytes[0], 0xDA);
  EXPECT_EQ(frames[0].bytes[1], 0x0A);
  EXPECT_EQ(frames[0].bytes[7] & 3, 1);
}

// What the bench sends are the examples of shared/row_frames.h, unused and reserved bytes included:
// 4.444 m/s forwards, due east.
TEST(SpeedBus, SendsTheBytesOfTheHeadersExamples) {
  model::SpeedSignalParams params;
  params.lag_s = 0.0;
  params.speed_noise_mps = 0.0;
  // a quarter turn to the right in the first second, straight on after it
  const auto signal = model::make_speed_signal(
      model::make_travel({{.time_s = 0.0, .speed_mps = 4.444, .yaw_rate_radps = 1.5708},
                          {.time_s = 1.0, .speed_mps = 4.444, .yaw_rate_radps = 1.5708},
                          {.time_s = 1.0, .speed_mps = 4.444, .yaw_rate_radps = 0.0}}),
      params);
  const auto frames = sim::bench::bus_frames(signal, 15, {});
  const std::uint8_t speed[] = {0x5c, 0x11, 0xff, 0xff, 0xff, 0xff, 0xff, 0xfd};
  const std::uint8_t course[] = {0xff, 0xfc, 0x5c, 0x3d, 0xbc, 0x01, 0xff, 0xff};
  for (int k = 0; k < 8; ++k) {
    EXPECT_EQ(frames[0].bytes[k], speed[k]) << "byte " << k;
    EXPECT_EQ(frames[1].bytes[k], course[k]) << "byte " << k;
  }
  EXPECT_EQ(frames[0].sender, 254);
  EXPECT_EQ(frames[1].length, 8);
}

TEST(SpeedBus, CourseWrapsAtAFullTurn) {
  model::SpeedSignalParams params;
  params.lag_s = 0.0;
  const auto signal = model::make_speed_signal(
      model::make_travel({{.time_s = 0.0, .speed_mps = 2.0, .yaw_rate_radps = -0.1}}), params);
  for (long long sample = 0; sample < 1000; ++sample)
    ASSERT_LT(get16(sim::bench::bus_frames(signal, sample, {})[1].bytes + 2), 62'832u);
  // after 1 s the machine has turned -0.1 rad, which is 2 pi - 0.1 = 6.1832 rad
  EXPECT_NEAR(get16(sim::bench::bus_frames(signal, 10, {})[1].bytes + 2), 61'832.0, 1.0);
}

}  // namespace
