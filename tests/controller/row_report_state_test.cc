// What a row says of itself and of frames that it cannot take, byte by byte as shared/row_frames.h
// has it.
#include <gtest/gtest.h>

#include "tests/controller/fake_hardware.h"

namespace {

using controller::RowReportFrame;
using test::FakeHardware;

constexpr double k16kmph_mps = 16.0 / 3.6;

controller::SetPointFrame set_point(std::uint16_t sequence) {
  controller::SetPointFrame sent;
  sent.sequence = sequence;
  sent.valid_ms = 1000;
  sent.rate_nm = 4677;
  sent.pressure_pa = 300'000;
  return sent;
}

RowReportFrame last_report(const FakeHardware& row) {
  RowReportFrame read;
  EXPECT_FALSE(row.sent.empty());
  if (!row.sent.empty()) {
    EXPECT_TRUE(decode(row.sent.back().second, read));
  }
  return read;
}

// A damaged frame is counted and told with its id; a repeated one is counted and not told.
TEST(RowReportState, ABadSetPointIsCountedAndARepeatedOneIsNotTold) {
  FakeHardware row(test::row_config());
  row.receive(10'000, encode(set_point(5)));
  sillion_frame damaged = encode(set_point(6));
  damaged.length = 15;
  row.receive(20'000, damaged);
  row.run_until(25'000);
  EXPECT_EQ(row.health.bad_frames, 1u);
  ASSERT_EQ(row.count(SILLION_EVENT_BAD_FRAME), 1);
  for (const sillion_event_record& event : row.events) {
    if (event.code == SILLION_EVENT_BAD_FRAME) {
      EXPECT_EQ(event.a, SILLION_FRAME_SETPOINT);
    }
  }
  row.receive(30'000, encode(set_point(5)));
  row.run_until(35'000);
  EXPECT_EQ(row.health.bad_frames, 2u);
  EXPECT_EQ(row.count(SILLION_EVENT_BAD_FRAME), 1);
}

// 10 000 nm on 0.762 m at 4.444 m/s ask for 33 867 mm3/s, the table ends at 20 000; the event has
// both in 0.1 mm3/s, and comes once as long as it lasts.
TEST(RowReportState, ARateBeyondTheTableIsToldOnce) {
  sillion_config config = test::row_config();
  config.in_band_rate_nm = 10'000;
  FakeHardware row(config);
  row.report_speed([](double) { return k16kmph_mps; }, 0.0, 500, 3'000'000);
  row.run_until(3'000'000);
  ASSERT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), 1);
  for (const sillion_event_record& event : row.events) {
    if (event.code != SILLION_EVENT_RATE_OUT_OF_RANGE) continue;
    EXPECT_NEAR(event.a, 338'667, 10);
    EXPECT_EQ(event.b, 200'000);
  }
}

TEST(RowReportState, AStandingRowTellsNoRateBeyondTheTable) {
  sillion_config config = test::row_config();
  config.in_band_rate_nm = 10'000;
  FakeHardware row(config);
  row.report_speed([](double) { return 0.0; }, 0.0, 500, 1'000'000);
  row.run_until(1'000'000);
  EXPECT_EQ(row.count(SILLION_EVENT_RATE_OUT_OF_RANGE), 0);
}

// State bits: 1 the measured flow is valid, 2 safe closed, 4 stream, 8 own lift; above, the resets.
TEST(RowReportState, SaysFlowStreamAndLift) {
  sillion_config config = test::row_config();
  config.continuous = 1;
  config.meter_mm3_per_pulse = 100;
  config.attachment.lift_settable = 1;
  FakeHardware row(config);
  row.report_speed([](double) { return k16kmph_mps; }, 0.0, 500, 4'000'000);
  row.run_until(150'000);
  EXPECT_EQ(last_report(row).state & 1, 0) << "no window of the meter is over";
  // 15 840 mm3/s are 1.584 pulses every 10 ms.
  for (int k = 1; k <= 400; ++k) {
    row.set_meter(static_cast<std::uint32_t>(1.584 * k));
    row.run_until(k * 10'000);
  }
  const RowReportFrame said = last_report(row);
  EXPECT_EQ(said.state, 1 | 4 | 8);
  EXPECT_NEAR(said.flow_mm3ps, 15'840, 200);
  EXPECT_NEAR(said.wanted_mm3ps, 15'840, 20);
}

TEST(RowReportState, SaysSafeClosedAndItsResets) {
  sillion_config config = test::row_config();
  config.reset_cause = SILLION_RESET_WATCHDOG;
  FakeHardware row(config);
  row.run_until(10'000);
  EXPECT_EQ(last_report(row).state, 2 | (1 << 4));
}

}  // namespace
