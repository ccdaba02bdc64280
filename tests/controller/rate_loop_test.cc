#include "controller/rate_loop.h"

#include <gtest/gtest.h>

#include "controller/set_point_table.h"
#include "tests/controller/fake_hardware.h"

namespace {

using namespace controller;

RateLoop loop_with_meter(bool settable) {
  sillion_config config = test::row_config();
  config.meter_mm3_per_pulse = 200;
  config.attachment.lift_settable = settable ? 1 : 0;
  return rate_loop_for(config);
}

/// Half the time band, half gap: a row whose real flow is `gain_ratio` times what its set point
/// asks for.
struct Row {
  RateLoop loop;
  double gain_ratio = 1.0;
  double volume_mm3 = 0.0;

  void run(int ticks, std::int32_t wanted_mm3ps, bool may_rise = true, bool may_fall = true) {
    for (int i = 0; i < ticks; ++i) {
      const double flow = gain_ratio * trimmed_mm3ps(wanted_mm3ps, loop.trim_q16);
      volume_mm3 += flow * 0.5e-3;
      follow_meter(loop, static_cast<std::uint32_t>(volume_mm3 / 200.0), 500, wanted_mm3ps,
                   may_rise, may_fall);
    }
  }
};

// 16 ml/s in the band for half of the time are 40 pulses of 0.2 ml per second: exact to one in 40.
TEST(RateLoop, MeasuresTheFlowInTheBand) {
  Row row{loop_with_meter(false)};
  row.run(10'000, 16'000);
  EXPECT_TRUE(row.loop.flow_valid);
  EXPECT_NEAR(row.loop.flow_mm3ps, 16'000, 200);
  EXPECT_NEAR(row.loop.expected_mm3ps, 16'000, 1);
  EXPECT_EQ(row.loop.trim_q16, 0);
}

TEST(RateLoop, TrimsTheLiftWhereItCanBeSet) {
  Row row{loop_with_meter(true), 0.92};
  row.run(60'000, 16'000);
  EXPECT_NEAR(row.loop.flow_mm3ps, 16'000, 250);
  EXPECT_NEAR(row.loop.trim_q16, 65'536 * 0.087, 65'536 * 0.02);
}

TEST(RateLoop, TrimStopsAt15PerCent) {
  Row row{loop_with_meter(true), 0.7};
  row.run(60'000, 16'000);
  EXPECT_EQ(row.loop.trim_q16, kMostTrimQ16);
  // The trim comes back as soon as the reason is gone: within 5 % after 20 s.
  row.gain_ratio = 1.0;
  row.run(20'000, 16'000);
  EXPECT_NEAR(row.loop.trim_q16, 0, 65'536 * 0.05);
}

TEST(RateLoop, DoesNotWindUpAtTheTablesEnd) {
  Row row{loop_with_meter(true), 0.9};
  row.run(30'000, 16'000, false);
  EXPECT_EQ(row.loop.trim_q16, 0);
  // Too much at the table's lower end: there is nothing to take away either.
  Row full{loop_with_meter(true), 1.1};
  full.run(30'000, 16'000, true, false);
  EXPECT_EQ(full.loop.trim_q16, 0);
  EXPECT_NEAR(full.loop.flow_mm3ps, 17'600, 250);
  // Only that direction is shut.
  full.run(30'000, 16'000, false, true);
  EXPECT_LT(full.loop.trim_q16, 0);
}

// Ten seconds of band time at a set point of nothing: 0 is measured, 0 was expected, and no share
// of 0 can be formed.
TEST(RateLoop, NothingExpectedTrimsNothing) {
  Row row{loop_with_meter(true)};
  row.run(25'000, 0);
  EXPECT_TRUE(row.loop.flow_valid);
  EXPECT_EQ(row.loop.expected_mm3ps, 0);
  EXPECT_EQ(row.loop.trim_q16, 0);
  EXPECT_EQ(row.loop.rise_q16, 0);
}

// A row that is plugged to a third of its flow is reported, and the trim does not follow it.
TEST(RateLoop, APluggedRowIsReportedNotFollowed) {
  Row row{loop_with_meter(true), 0.33};
  row.run(30'000, 16'000);
  EXPECT_EQ(row.loop.trim_q16, 0);
  EXPECT_NEAR(row.loop.flow_mm3ps, 0.33 * 16'000, 400);
}

TEST(RateLoop, ADeadMeterIsReportedAsNoFlow) {
  Row row{loop_with_meter(true), 0.0};
  row.run(25'000, 16'000);
  EXPECT_TRUE(row.loop.flow_valid);
  EXPECT_EQ(row.loop.flow_mm3ps, 0);
  EXPECT_EQ(row.loop.trim_q16, 0);
}

TEST(RateLoop, WithoutAMeterItRests) {
  RateLoop loop = rate_loop_for(test::row_config());
  for (std::uint32_t i = 0; i < 20'000; ++i) follow_meter(loop, i, 1000, 16'000, true, true);
  EXPECT_FALSE(loop.flow_valid);
  EXPECT_EQ(loop.trim_q16, 0);
}

TEST(RateLoop, ALeapingCountStartsANewWindow) {
  Row row{loop_with_meter(true)};
  row.run(1500, 16'000);
  follow_meter(row.loop, 0x80000000u, 500, 16'000, true, true);
  EXPECT_FALSE(row.loop.started);
  EXPECT_EQ(row.loop.trim_q16, 0);
}

}  // namespace
