#include "controller/row_controller.h"

#include <gtest/gtest.h>

#include <cmath>

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

}  // namespace
