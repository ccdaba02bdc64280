// What a row controller makes of inputs that come rarely: set points that repeat, lie or grow old,
// a lift of its own, a rate of nothing, a measured pressure.
#include <gtest/gtest.h>

#include "controller/row_controller.h"
#include "tests/controller/fake_hardware.h"

namespace {

using test::FakeHardware;
using test::row_config;

constexpr double k16kmph_mps = 16.0 / 3.6;

FakeHardware row_at_16(const sillion_config& config) {
  FakeHardware row(config);
  row.report_speed([](double) { return k16kmph_mps; }, 0.0, 500, 5'000'000);
  return row;
}

sillion_frame set_point(int sequence, std::int32_t pressure_pa, std::int32_t valid_ms = 5000) {
  return controller::encode(
      controller::SetPointFrame{.sequence = static_cast<std::uint16_t>(sequence),
                                .valid_ms = valid_ms,
                                .rate_nm = 4677,
                                .pressure_pa = pressure_pa});
}

/// Lead from 5 ms at 4000 mm3/s to 9 ms at 20 000.
sillion_config sloped_config() {
  sillion_config config = row_config();
  config.attachment.lead_us[0] = 5000;
  config.attachment.lead_us[1] = 9000;
  return config;
}

/// Opening of one seed's pulse, dropped at 1 s, after these frames at 0.1 s.
double opening_us(const sillion_config& config, const std::vector<sillion_frame>& frames) {
  FakeHardware row = row_at_16(config);
  for (const sillion_frame& frame : frames) row.receive(100'000, frame);
  row.drop_seed(1'000'000);
  row.run_until(1'500'000);
  EXPECT_EQ(row.pulses().size(), 1u);
  return row.pulses().empty() ? 0.0 : static_cast<double>(row.pulses()[0].open_us);
}

// 80 kPa are 8000 mm3/s (row_controller_test.cc): lead 6 ms, 2 ms before 1.065 s. The row's own
// flow at 16 km/h is 15 840 mm3/s: lead 5 + 4 x 11 840/16 000 = 7.96 ms.
constexpr double kOf80kPa_us = 1'063'000.0;
constexpr double kOfOwnFlow_us = 1'061'040.0;

TEST(RowInputs, ARepeatedSetPointIsDropped) {
  EXPECT_NEAR(opening_us(sloped_config(), {set_point(1, 80'000), set_point(1, 500'000)}),
              kOf80kPa_us, 2.0);
  FakeHardware row(row_config());
  for (int k = 0; k < 3; ++k) row.receive(100'000, set_point(1, 80'000));
  row.run_until(200'000);
  EXPECT_EQ(row.health.bad_frames, 2u);
  EXPECT_EQ(row.count(SILLION_EVENT_BAD_FRAME), 0) << "a radio repeats";
}

TEST(RowInputs, AnOldSetPointIsForgotten) {
  EXPECT_NEAR(opening_us(sloped_config(), {set_point(1, 80'000, 2000)}), kOf80kPa_us, 2.0);
  EXPECT_NEAR(opening_us(sloped_config(), {set_point(1, 80'000, 500)}), kOfOwnFlow_us, 2.0);
}

// A row that sets its own lift makes its own flow out of the pressure that it is given.
TEST(RowInputs, ALiftOfItsOwnGoesWithTheRowsFlow) {
  sillion_config config = sloped_config();
  config.attachment.lift_settable = 1;
  EXPECT_NEAR(opening_us(config, {set_point(1, 80'000)}), kOfOwnFlow_us, 2.0);
}

// The clock's rate is found from frames of this call alone: handed over within 50 ms, and not
// stamped in the future. The set point itself counts all the same.
TEST(RowInputs, ABadStampIsKeptFromTheClock) {
  const auto hears = [](std::int32_t waited_us) {
    controller::RowController row = controller::row_controller_for(row_config(), nullptr, 0);
    sillion_input in{};
    in.now_ticks = test::kStartTicks + 1'000'000u;
    in.frame_count = 1;
    in.frames[0] = set_point(1, 80'000);
    in.frames[0].received_ticks = in.now_ticks - static_cast<std::uint32_t>(waited_us);
    sillion_output out{};
    sillion_health health{};
    controller::Report report{out, health, in.now_ticks};
    controller::step(row, in, report);
    EXPECT_TRUE(row.set_point.known);
    return row.clock.window_us != 0;
  };
  EXPECT_FALSE(hears(-1));
  EXPECT_TRUE(hears(0));
  EXPECT_TRUE(hears(50'000));
  EXPECT_FALSE(hears(50'001));
}

// 100 nm are 339 mm3/s at 16 km/h and the table begins at 4000: out of range. A rate of 0 is not:
// the row is closed, and nothing is wanted of it.
TEST(RowInputs, NoRateIsNotOutOfRange) {
  for (const std::int32_t rate_nm : {0, 100}) {
    sillion_config config = row_config();
    config.in_band_rate_nm = rate_nm;
    FakeHardware row = row_at_16(config);
    row.run_until(1'000'000);
    EXPECT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), rate_nm > 0 ? 1 : 0);
  }
}

int empty_lines(const FakeHardware& row) {
  return static_cast<int>(
      std::count_if(row.events.begin(), row.events.end(), [](const sillion_event_record& event) {
        return event.code == SILLION_EVENT_ALARM && event.a == SILLION_ALARM_EMPTY_LINE;
      }));
}

// A sensor at the hose shows nothing. The row can say so only against the machine's set point; and
// without a sensor a reading of nothing says nothing.
TEST(RowInputs, AnEmptyLineNeedsASensorAndASetPoint) {
  for (const std::int32_t full_scale_pa : {0, 1'600'000}) {
    sillion_config config = row_config();
    config.analog_full_scale[0] = full_scale_pa;
    FakeHardware row = row_at_16(config);
    row.receive(2'500'000, set_point(1, 254'000));
    row.run_until(2'500'000);
    EXPECT_EQ(empty_lines(row), 0);
    row.run_until(2'900'000);
    EXPECT_EQ(empty_lines(row), full_scale_pa > 0 ? 1 : 0);
  }
}

// A stream of 16 000 mm3/s through a meter of 200 mm3 per pulse: 8 pulses in each 100 ms. The first
// second of it is a window, and the report says its flow and that the row sets its lift.
TEST(RowInputs, TheReportTellsAFlowAndALift) {
  sillion_config config = row_config();
  config.continuous = 1;
  config.meter_mm3_per_pulse = 200;
  config.attachment.lift_settable = 1;
  FakeHardware row = row_at_16(config);
  for (std::uint32_t tenths = 1; tenths <= 20; ++tenths) {
    row.set_meter(8 * tenths);
    row.run_until(tenths * 100'000);
  }
  controller::RowReportFrame said;
  ASSERT_TRUE(controller::decode(row.sent.back().second, said));
  EXPECT_EQ(said.state & controller::kFlowValid, controller::kFlowValid);
  EXPECT_EQ(said.state & controller::kSetsLift, controller::kSetsLift);
  EXPECT_NEAR(said.flow_mm3ps, 16'000, 200);
}

}  // namespace
