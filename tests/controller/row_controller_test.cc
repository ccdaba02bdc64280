#include "controller/row_controller.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "tests/controller/fake_hardware.h"

namespace {

using test::FakeHardware;
using test::row_config;

constexpr double k8kmph_mps = 8.0 / 3.6;
constexpr double k16kmph_mps = 16.0 / 3.6;

FakeHardware row_at(double speed_mps, const sillion_config& config) {
  FakeHardware row(config);
  row.report_speed([=](double) { return speed_mps; }, 0.0, 500, 5'000'000);
  return row;
}

// D = 20 ms + 0.2 m / (16/3.6 m/s) = 20 + 45 = 65 ms; on time 75 mm/v + 4 - 3 = 16.875 + 1 ms.
TEST(RowController, FiresAfterTheDelayAt16KilometresAnHour) {
  FakeHardware row = row_at(k16kmph_mps, row_config());
  row.drop_seed(1'000'000);
  row.run_until(2'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'065'000.0, 2.0);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].close_us), 1'065'000.0 + 17'875.0, 3.0);
}

// D = 20 ms + 0.2 / (8/3.6) = 20 + 90 = 110 ms; on 33.75 + 1 ms.
TEST(RowController, FiresAfterTheDelayAt8KilometresAnHour) {
  FakeHardware row = row_at(k8kmph_mps, row_config());
  row.drop_seed(1'000'000);
  row.run_until(2'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'110'000.0, 2.0);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].close_us), 1'110'000.0 + 34'750.0, 3.0);
}

// The counter wraps 2 s after the start: one seed's edge lies before the wrap and its pulse after.
TEST(RowController, FiresAcrossTheCounterWrap) {
  FakeHardware row = row_at(k16kmph_mps, row_config());
  row.drop_seed(1'950'000);  // opens at 2 015 000
  row.drop_seed(1'925'000);  // opens at 1 990 000, closes at 2 007 875
  row.run_until(3'000'000);
  const auto pulses = row.pulses();
  ASSERT_EQ(pulses.size(), 2u);
  EXPECT_NEAR(static_cast<double>(pulses[0].open_us), 1'990'000.0, 2.0);
  EXPECT_NEAR(static_cast<double>(pulses[0].close_us), 2'007'875.0, 3.0);
  EXPECT_NEAR(static_cast<double>(pulses[1].open_us), 2'015'000.0, 2.0);
}

/// Error of the firing when the true place is x(t).
///   touch-down of the band's start: x(t_open + T_lead); it belongs at x(t_edge + T_d) + path
struct Ramp {
  double from_mps = k8kmph_mps;
  double accel_mps2 = 0.5;
  double begins_s = 1.0;
  double speed_at(double t_s) const {
    return from_mps + accel_mps2 * std::max(0.0, t_s - begins_s);
  }
  double place_at(double t_s) const {
    const double ramp_s = std::max(0.0, t_s - begins_s);
    return from_mps * t_s + 0.5 * accel_mps2 * ramp_s * ramp_s;
  }
};

struct RampErrors {
  double start_m = 0.0;
  double end_m = 0.0;
};

/// Largest error over 100 seeds, one every 33 ms, well inside the ramp.
RampErrors worst_on(const Ramp& ramp, const sillion_config& config) {
  FakeHardware row(config);
  row.report_speed([&](double t_s) { return ramp.speed_at(t_s); }, 0.0, 500, 999'000);
  row.report_speed([&](double t_s) { return ramp.speed_at(t_s); }, ramp.accel_mps2, 1'000'100,
                   5'500'000);
  std::vector<std::int64_t> edges;
  for (int i = 0; i < 100; ++i) {
    edges.push_back(1'500'000 + i * 33'000);
    row.drop_seed(edges.back());
  }
  row.run_until(5'400'000);
  const auto pulses = row.pulses();
  EXPECT_EQ(pulses.size(), edges.size());
  const sillion_attachment_table& table = config.attachment;
  const double delivery_s = (table.delay_time_us + table.reference_lead_us) * 1e-6;
  const double path_m =
      (table.delay_distance_um + (table.reference_band_um - config.band_length_um) / 2) * 1e-6;
  RampErrors worst;
  for (std::size_t i = 0; i < std::min(pulses.size(), edges.size()); ++i) {
    const double start_m =
        ramp.place_at(static_cast<double>(edges[i]) * 1e-6 + delivery_s) + path_m;
    const double open_s = static_cast<double>(pulses[i].open_us) * 1e-6;
    const double close_s = static_cast<double>(pulses[i].close_us) * 1e-6;
    const double lead_s = table.lead_us[0] * 1e-6;
    const double lag_s = table.lag_us[0] * 1e-6;
    worst.start_m = std::max(worst.start_m, std::abs(ramp.place_at(open_s + lead_s) - start_m));
    worst.end_m = std::max(worst.end_m, std::abs(ramp.place_at(close_s + lag_s) - start_m -
                                                 config.band_length_um * 1e-6));
  }
  return worst;
}

TEST(RowController, HitsThePlaceWhileTheMachineSpeedsUp) {
  sillion_config config = row_config();
  config.band_length_um = 40'000;
  const RampErrors gravity = worst_on(Ramp{}, config);
  config.attachment.delay_time_us = -4000;  // a conveyor geared to the ground: T_d = 0
  config.attachment.delay_distance_um = 350'000;
  const RampErrors conveyor = worst_on(Ramp{}, config);
  std::printf("ramp 0.5 m/s2: worst start %.3f mm, end %.3f mm; geared conveyor %.3f, %.3f mm\n",
              gravity.start_m * 1e3, gravity.end_m * 1e3, conveyor.start_m * 1e3,
              conveyor.end_m * 1e3);
  EXPECT_LE(gravity.start_m, 1e-3);
  EXPECT_LE(gravity.end_m, 1e-3);
  EXPECT_LE(conveyor.start_m, 1e-3);
  EXPECT_LE(conveyor.end_m, 1e-3);
}

TEST(RowController, HitsThePlaceWhileTheMachineBrakes) {
  sillion_config config = row_config();
  config.band_length_um = 40'000;
  const RampErrors worst = worst_on(Ramp{k16kmph_mps, -0.5, 1.0}, config);
  EXPECT_LE(worst.start_m, 1e-3);
  EXPECT_LE(worst.end_m, 1e-3);
}

// Left turn of 60 m radius at 16 km/h: omega = -4.444/60 = -74.07 mrad/s. A row 2.667 m to the
// right runs at 4.444 + 0.07407 * 2.667 = 4.642 m/s: D = 20 + 200/4.642 = 63.085 ms.
TEST(RowController, OuterRowOfALeftTurnRunsFaster) {
  sillion_config config = row_config();
  config.row = 7;
  config.row_y_mm = 2667;
  FakeHardware row(config);
  for (int i = 0; i < 20; ++i) {
    controller::MotionFrame motion;
    motion.sequence = static_cast<std::uint16_t>(i);
    motion.valid_ms = 500;
    motion.speed_umps = 4'444'444;
    motion.yaw_uradps = -74'074;
    row.receive(500 + i * 100'000, controller::encode(motion));
  }
  row.drop_seed(1'000'000);
  row.run_until(1'500'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'063'085.0, 5.0);
}

TEST(RowController, ContinuousModeHoldsTheValveOpenWhileSafe) {
  sillion_config config = row_config();
  config.continuous = 1;
  FakeHardware row = row_at(k16kmph_mps, config);
  for (int i = 0; i < 30; ++i) row.drop_seed(100'000 + i * 33'000);
  row.run_until(1'000'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  EXPECT_TRUE(row.valve_open());
  EXPECT_EQ(row.pulses()[0].open_us, 1000);  // the first tick after the first speed
  EXPECT_NEAR(row.health.continuous_ms, 1000.0, 2.0);
  row.set_digital(SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN);
  row.run_until(1'002'000);
  EXPECT_FALSE(row.valve_open());
  EXPECT_EQ(row.health.edges_accepted, 28u);
}

TEST(RowController, RestoresTheStreamWhenLoweredAgain) {
  sillion_config config = row_config();
  config.continuous = 1;
  FakeHardware row = row_at(k16kmph_mps, config);
  row.run_until(500'000);
  row.set_digital(0);
  row.run_until(600'000);
  EXPECT_FALSE(row.valve_open());
  row.set_digital(7);
  row.run_until(602'000);
  EXPECT_TRUE(row.valve_open());
}

// 150 mm spacing, 75 mm band, 16 km/h: the gap of 75 mm takes 16.9 ms, too short for a valve that
// needs 20.
TEST(RowController, SaysThatBandsCannotBeToldApart) {
  sillion_config config = row_config();
  config.attachment.shortest_closed_us = 20'000;
  FakeHardware row = row_at(k16kmph_mps, config);
  for (int i = 0; i < 60; ++i) row.drop_seed(200'000 + i * 33'750);
  row.run_until(3'000'000);
  EXPECT_EQ(row.count(SILLION_EVENT_NOT_RESOLVABLE), 1);
  // Merging alone gives the stream: one pulse from the first seed to the last.
  EXPECT_EQ(row.pulses().size(), 1u);
  EXPECT_EQ(row.health.merged_seeds, 59u);
}

TEST(RowController, SaysOnceThatTheTableIsSimulated) {
  sillion_config config = row_config();
  config.attachment.evidence_grade = 0;
  FakeHardware row = row_at(k16kmph_mps, config);
  row.run_until(1'000'000);
  EXPECT_EQ(row.count(SILLION_EVENT_TABLE_SIMULATED), 1);
  FakeHardware bench = row_at(k16kmph_mps, row_config());
  bench.run_until(1'000'000);
  EXPECT_EQ(bench.count(SILLION_EVENT_TABLE_SIMULATED), 0);
}

// D = -60 ms + 0.2 m / 4.444 m/s = -15 ms: no attachment can serve that; the seed is fired at once.
TEST(RowController, NegativeDelayFiresAtOnceAndIsCounted) {
  sillion_config config = row_config();
  config.attachment.delay_time_us = -60'000;
  FakeHardware row = row_at(k16kmph_mps, config);
  row.drop_seed(1'000'000);
  row.drop_seed(1'100'000);
  row.run_until(2'000'000);
  const auto pulses = row.pulses();
  ASSERT_EQ(pulses.size(), 2u);
  EXPECT_EQ(pulses[0].open_us, 1'000'000);
  EXPECT_EQ(pulses[1].open_us, 1'100'000);
  EXPECT_EQ(row.count(SILLION_EVENT_NEGATIVE_DELAY), 1);
  EXPECT_EQ(row.health.late_compares, 2u);
}

// The set point's pressure, not the row's own wanted flow, decides the flow and with it the lead: p
// linear in Q^2 between (4000, 20 kPa) and (20000, 500 kPa): 80 kPa is 8000 mm3/s exactly
// (64e6 - 16e6)/(400e6 - 16e6) = 1/8 = (80 - 20)/480. Lead there 5000 + (9000 - 5000)/4 = 6000 us.
TEST(RowController, LeadGoesWithThePressureSetPoint) {
  sillion_config config = row_config();
  config.attachment.lead_us[0] = 5000;
  config.attachment.lead_us[1] = 9000;
  FakeHardware row = row_at(k16kmph_mps, config);
  controller::SetPointFrame set_point;
  set_point.sequence = 1;
  set_point.valid_ms = 5000;
  set_point.rate_nm = 4677;
  set_point.pressure_pa = 80'000;
  row.receive(100'000, controller::encode(set_point));
  row.drop_seed(1'000'000);
  row.run_until(1'500'000);
  ASSERT_EQ(row.pulses().size(), 1u);
  // Opens 2 ms earlier than with the reference lead of 4 ms.
  EXPECT_NEAR(static_cast<double>(row.pulses()[0].open_us), 1'063'000.0, 2.0);
}

TEST(RowController, ReportsEvery200Milliseconds) {
  FakeHardware row = row_at(k16kmph_mps, row_config());
  row.run_until(2'000'000);
  EXPECT_EQ(row.sent.size(), 10u);
  controller::RowReportFrame said;
  ASSERT_TRUE(controller::decode(row.sent.front().second, said));
  EXPECT_EQ(said.state & controller::kFlowValid, 0);
}

// Lifted, a row asks for a periodic call every 20 ms only; the first one closes and sleeps.
TEST(RowController, SleepsWhileLifted) {
  FakeHardware row = row_at(k16kmph_mps, row_config());
  row.run_until(1'000'000);
  const std::int64_t at_work = row.calls;
  EXPECT_GE(at_work, 1000);
  row.set_digital(SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN);
  row.run_until(2'000'000);
  EXPECT_NEAR(static_cast<double>(row.calls - at_work), 1000.0 / 20.0 + 10.0, 3.0);  // 10 frames
  EXPECT_NEAR(row.health.safe_closed_ms, 1000.0, 20.0);
  int reports = 0;
  for (const auto& [at_us, frame] : row.sent) reports += frame.id == SILLION_FRAME_ROW_REPORT;
  EXPECT_NEAR(reports, 10, 1);
}

// An edge wakes the row: a seed that falls 3 ms after lowering gets its band, and the time in the
// safe state is counted up to the edge.
TEST(RowController, AnEdgeWakesASleepingRow) {
  for (const std::int64_t lowered_us : {1'001'100, 1'007'100, 1'013'100}) {
    FakeHardware one = row_at(k16kmph_mps, row_config());
    one.set_digital(SILLION_INPUT_ROW_ENABLED | SILLION_INPUT_RUN);
    one.run_until(lowered_us);
    one.set_digital(7);
    one.drop_seed(lowered_us + 3'000);
    one.run_until(1'500'000);
    ASSERT_EQ(one.pulses().size(), 1u);
    EXPECT_NEAR(static_cast<double>(one.pulses()[0].open_us),
                static_cast<double>(lowered_us + 68'000), 2.0);
    EXPECT_NEAR(one.health.safe_closed_ms, static_cast<double>(lowered_us + 3'000) * 1e-3, 2.0);
  }
}

// Frames between two periodic calls do not put the next one off.
TEST(RowController, FramesDoNotKeepASleepingRowFromItsKick) {
  FakeHardware row(row_config());
  row.set_digital(0);
  for (int k = 0; k < 1000; ++k) {
    sillion_frame frame{};
    frame.id = 0x7ff;
    row.receive(500'000 + 2'000 * k, frame);
  }
  row.run_until(500'000);
  const std::int64_t before = row.calls;
  row.run_until(2'500'000);
  EXPECT_GE(row.calls - before, 1000 + 2000 / 20 - 1);
  EXPECT_NEAR(row.health.safe_closed_ms, 2500.0, 20.0);
}

// A closed row that is not lifted keeps its tick: it has to close within one ms of a loss.
TEST(RowController, AStandingRowDoesNotSleep) {
  FakeHardware row = row_at(0.0, row_config());
  row.run_until(1'000'000);
  EXPECT_GE(row.calls, 1000);
}

}  // namespace
