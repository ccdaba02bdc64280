#include "sim/bench/rate_bus.h"

#include <gtest/gtest.h>

#include "shared/row_frames.h"
#include "sim/scenario/rate_zones.h"

namespace {

using sim::scenario::Scenario;

// The example of shared/row_frames.h: 46.77 l/ha in bands of 75 mm every 150 mm are 23.385 l/ha of
// the field, 233850 times 0.01 mm3/m2.
TEST(RateBus, SendsTheBytesOfTheHeadersExample) {
  Scenario scenario;
  scenario.rate.band_length_m = 0.075;
  scenario.seeding.meter.spacing_m = 0.15;
  const sillion_frame frame = sim::bench::rate_frame(scenario, 46.77e-7);
  const std::uint8_t bytes[] = {0x13, 0x00, 0x01, 0x00, 0x7a, 0x91, 0x03, 0x00};
  EXPECT_EQ(frame.id, static_cast<std::uint32_t>(SILLION_BUS_RATE));
  EXPECT_EQ(frame.length, 8);
  EXPECT_EQ(frame.sender, 254);
  for (int k = 0; k < 8; ++k) EXPECT_EQ(frame.bytes[k], bytes[k]) << "byte " << k;
}

// Bands that touch, and a stream, have the field's rate: 46.77 l/ha are 467700 = 0x722F4.
TEST(RateBus, AStreamsRateIsTheFields) {
  Scenario scenario;
  scenario.rate.continuous = true;
  EXPECT_EQ(sim::bench::rate_frame(scenario, 46.77e-7).bytes[4], 0xf4);
  scenario.rate.continuous = false;
  scenario.rate.band_length_m = 0.2;
  scenario.seeding.meter.spacing_m = 0.15;
  EXPECT_EQ(sim::bench::rate_frame(scenario, 46.77e-7).bytes[4], 0xf4);
}

TEST(RateBus, SendsAtBordersAndEverySecond) {
  Scenario scenario;
  scenario.rate.in_band_m3pm2 = 4e-6;
  EXPECT_FALSE(sim::bench::RateBus(scenario).next_s() < 1e9);
  scenario.rate.zones = {{.from_s = 1.5, .until_s = 2.0, .in_band_m3pm2 = 5e-6}};
  sim::bench::RateBus bus(scenario);
  for (const double at_s : {0.0, 1.0, 1.5, 2.0, 3.0, 4.0}) {
    EXPECT_DOUBLE_EQ(bus.next_s(), at_s);
    const sillion_frame frame = bus.take(scenario);
    const double rate_m3pm2 = at_s == 1.5 ? 5e-6 : 4e-6;
    EXPECT_EQ(frame.bytes[5], sim::bench::rate_frame(scenario, rate_m3pm2).bytes[5]) << at_s;
  }
}

}  // namespace
