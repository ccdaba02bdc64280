#include "controller/pulse_planner.h"

#include <gtest/gtest.h>

#include "tests/controller/fake_hardware.h"

namespace {

using test::FakeHardware;
using test::row_config;

// At 4 m/s: D = 70 ms, on time 18.75 + 1 = 19.75 ms.
constexpr std::int64_t kDelay_us = 70'000;
constexpr std::int64_t kOn_us = 19'750;

FakeHardware row_at_4_mps(const sillion_config& config = row_config()) {
  FakeHardware row(config);
  row.report_speed([](double) { return 4.0; }, 0.0, 500, 20'000'000);
  return row;
}

void expect_pulse(const test::ValvePulse& pulse, std::int64_t open_us, std::int64_t close_us) {
  EXPECT_NEAR(static_cast<double>(pulse.open_us), static_cast<double>(open_us), 2.0);
  EXPECT_NEAR(static_cast<double>(pulse.close_us), static_cast<double>(close_us), 3.0);
}

// The valve stays closed for at least 5 ms: seeds 25 ms apart leave 25 - 19.75 = 5.25 ms.
TEST(PulsePlanner, KeepsPulsesApartWhereTheValveCanClose) {
  FakeHardware row = row_at_4_mps();
  row.drop_seed(1'000'000);
  row.drop_seed(1'025'000);
  row.run_until(2'000'000);
  const auto pulses = row.pulses();
  ASSERT_EQ(pulses.size(), 2u);
  expect_pulse(pulses[0], 1'000'000 + kDelay_us, 1'000'000 + kDelay_us + kOn_us);
  expect_pulse(pulses[1], 1'025'000 + kDelay_us, 1'025'000 + kDelay_us + kOn_us);
  EXPECT_EQ(row.health.merged_seeds, 0u);
}

// Seeds 24.5 ms apart leave 4.75 ms, so one pulse lasts to the end of the second.
TEST(PulsePlanner, MergesWhereItCannot) {
  FakeHardware row = row_at_4_mps();
  row.drop_seed(1'000'000);
  row.drop_seed(1'024'500);
  row.run_until(2'000'000);
  const auto pulses = row.pulses();
  ASSERT_EQ(pulses.size(), 1u);
  expect_pulse(pulses[0], 1'000'000 + kDelay_us, 1'024'500 + kDelay_us + kOn_us);
  EXPECT_EQ(row.health.merged_seeds, 1u);
  EXPECT_EQ(row.count(SILLION_EVENT_MERGED), 1);
}

TEST(PulsePlanner, ChainOfMergedSeedsEndsAfterTheLast) {
  FakeHardware row = row_at_4_mps();
  for (int i = 0; i < 10; ++i) row.drop_seed(1'000'000 + i * 20'000);
  row.drop_seed(1'300'000);
  row.run_until(2'000'000);
  const auto pulses = row.pulses();
  ASSERT_EQ(pulses.size(), 2u);
  expect_pulse(pulses[0], 1'000'000 + kDelay_us, 1'180'000 + kDelay_us + kOn_us);
  EXPECT_EQ(row.health.merged_seeds, 9u);
}

// Pulses shorter than a tick and closer than a tick: 90 seeds a second of 20 mm bands at 4 m/s.
TEST(PulsePlanner, Serves90SeedsASecond) {
  sillion_config config = row_config();
  config.band_length_um = 2000;
  config.attachment.reference_band_um = 2000;
  config.attachment.shortest_on_us = 800;
  config.attachment.shortest_closed_us = 500;
  for (int i = 0; i < 2; ++i) config.attachment.lag_us[i] = 3600;
  FakeHardware row = row_at_4_mps(config);
  for (int i = 0; i < 900; ++i) row.drop_seed(500'000 + i * 11'111);
  row.run_until(11'000'000);
  const auto pulses = row.pulses();
  ASSERT_EQ(pulses.size(), 900u);
  for (int i = 0; i < 900; ++i) {
    // On for 0.5 + 0.4 = 0.9 ms.
    expect_pulse(pulses[static_cast<std::size_t>(i)], 500'000 + i * 11'111 + kDelay_us,
                 500'000 + i * 11'111 + kDelay_us + 900);
  }
  EXPECT_EQ(row.health.late_compares, 0u);
}

// Edges are only queued with a speed, and the speed that the row knows leaps: 1 m/s at the edge (D
// = 220 ms), 4 m/s from 90 ms later on. The 0.2 m begin after 24 ms of delivery: 66 ms at 1 m/s,
// then (0.2 - 0.066)/4 = 33.5 ms. The opening is in time, because the distance is measured and not
// guessed from the speed.
TEST(PulsePlanner, SpeedLeapIsServedByDistance) {
  FakeHardware row(row_config());
  row.report_speed([](double t_s) { return t_s < 1.05 ? 1.0 : 4.0; }, 0.0, 90'000, 3'000'000);
  row.drop_seed(1'000'000);
  row.run_until(2'000'000);
  const auto pulses = row.pulses();
  ASSERT_EQ(pulses.size(), 1u);
  EXPECT_NEAR(static_cast<double>(pulses[0].open_us), 1'090'000 + 33'500 - 4000, 10.0);
}

/// A set point with a longer lead arrives 1 ms before the opening, which is then late by `late_us`.
FakeHardware row_with_late_lead(std::int32_t late_us) {
  sillion_config config = row_config();
  config.attachment.lead_us[0] = 4000;
  config.attachment.lead_us[1] = 4000 + late_us + 1000;
  config.attachment.lag_us[0] = 3000;
  config.attachment.lag_us[1] = 3000;
  FakeHardware row = row_at_4_mps(config);
  controller::SetPointFrame set_point;
  set_point.valid_ms = 60'000;
  set_point.rate_nm = 4677;
  set_point.sequence = 1;
  set_point.pressure_pa = 20'000;
  row.receive(100'000, controller::encode(set_point));
  set_point.sequence = 2;
  set_point.pressure_pa = 500'000;
  // 1 ms before the opening under the short lead.
  row.receive(1'000'000 + kDelay_us - 1000, controller::encode(set_point));
  row.drop_seed(1'000'000);
  return row;
}

TEST(PulsePlanner, ALittleLateFiresAtOnce) {
  FakeHardware row = row_with_late_lead(3000);
  row.run_until(2'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'000'000.0 + kDelay_us - 1000, 1000.0);
  EXPECT_EQ(row.health.late_compares, 1u);
  EXPECT_EQ(row.count(SILLION_EVENT_LATE_FIRING), 1);
  // The band still ends where it should: 70 + 18.75 + 4 - 3 ms, whatever the lead.
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].close_us), 1'000'000.0 + kDelay_us + kOn_us, 3.0);
}

TEST(PulsePlanner, MuchTooLateIsSkippedAndCounted) {
  FakeHardware row = row_with_late_lead(8000);
  row.run_until(2'000'000);
  EXPECT_EQ(row.pulses().size(), 0u);
  EXPECT_EQ(row.health.late_compares, 1u);
  EXPECT_EQ(row.health.skipped_seeds, 1u);
}

// 300 seeds at once would be noise; 2 ms apart they overfill the queue: D = 0.5 s holds 250.
sillion_config slow_attachment() {
  sillion_config config = row_config();
  config.attachment.delay_time_us = 450'000;
  config.seed_dwell_us = 1000;
  return config;
}

TEST(PulsePlanner, FullQueueGoesToTheStreamUntilItHasRoom) {
  FakeHardware row = row_at_4_mps(slow_attachment());
  for (int i = 0; i < 76; ++i) row.drop_seed(1'000'000 + i * 2000);
  row.run_until(1'300'000);
  EXPECT_EQ(row.health.queue_overflows, 12u);
  EXPECT_EQ(row.count(SILLION_EVENT_QUEUE_OVERFLOW), 12);
  // The 65th seed found no room: the stream starts at its edge.
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_EQ(row.pulses()[0].open_us, 1'128'000);
  EXPECT_TRUE(row.valve_open());
  row.run_until(3'000'000);
  // The stream ends with the place of the last seed that found no room: edge + 500 ms + on time.
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].close_us), 1'150'000.0 + 500'000 + kOn_us,
              1000.0);
  EXPECT_FALSE(row.valve_open());
  EXPECT_NEAR(row.health.continuous_ms, 542.0, 2.0);
  // Then seeds are served one by one again.
  row.drop_seed(3'100'000);
  row.run_until(4'000'000);
  ASSERT_EQ(row.pulses().size(), 2u);
  expect_pulse(row.pulses()[1], 3'600'000, 3'600'000 + kOn_us);
}

TEST(PulsePlanner, StreamOfAFullQueueStopsWhenLifted) {
  FakeHardware row = row_at_4_mps(slow_attachment());
  for (int i = 0; i < 76; ++i) row.drop_seed(1'000'000 + i * 2000);
  row.run_until(1'300'000);
  row.set_digital(SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN);
  row.run_until(1'302'000);
  EXPECT_FALSE(row.valve_open());
  row.set_digital(7);
  row.run_until(3'000'000);
  EXPECT_EQ(row.pulses().size(), 1u);
  EXPECT_FALSE(row.valve_open());
}

// The pin acts, but the interrupt's report never comes: no later pulse may be lost for long, and
// the valve may not stay open.
TEST(PulsePlanner, LostMatchesAreGivenUp) {
  FakeHardware row = row_at_4_mps();
  row.lose_matches = true;
  for (int i = 0; i < 20; ++i) row.drop_seed(1'000'000 + i * 40'000);
  row.run_until(3'000'000);
  EXPECT_FALSE(row.valve_open());
  for (const auto& pulse : row.pulses()) EXPECT_LE(pulse.close_us - pulse.open_us, 40'000);
}

}  // namespace
