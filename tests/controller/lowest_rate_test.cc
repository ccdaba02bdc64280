#include "controller/lowest_rate.h"

#include <gtest/gtest.h>

#include "tests/controller/fake_hardware.h"

namespace {

using controller::lowest_rate;
using controller::LowestRate;

// 4000 mm3/s over 0.762 m at 4 m/s: 4e-6/(0.762 * 4) m = 1312 nm. A flow that is a quarter higher
// gives 1640 nm.
TEST(LowestRate, IsTheLowestFlowOverWidthAndSpeed) {
  const LowestRate plain = lowest_rate(test::row_config(), 4'000'000, 0);
  EXPECT_NEAR(plain.table_nm, 1312, 1);
  EXPECT_EQ(plain.now_nm, plain.table_nm);
  const LowestRate worn = lowest_rate(test::row_config(), 4'000'000, 65'536 / 4);
  EXPECT_EQ(worn.table_nm, plain.table_nm);
  EXPECT_NEAR(worn.now_nm, 1640, 1);
}

// The shortest pulse of 30 ms lays 30 - 4 + 3 = 29 ms of liquid, a band of 75 mm at 4 m/s takes
// 18.75 ms: 1312 nm * 29/18.75 = 2029 nm. At 2 m/s the band takes 37.5 ms: 2625 nm, as without.
TEST(LowestRate, AShortPulseRaisesItAtSpeed) {
  sillion_config config = test::row_config();
  config.attachment.shortest_on_us = 30'000;
  EXPECT_NEAR(lowest_rate(config, 4'000'000, 0).table_nm, 2029, 2);
  EXPECT_NEAR(lowest_rate(config, 2'000'000, 0).table_nm, 2625, 2);
}

TEST(LowestRate, AnyConfigurationGivesANumber) {
  sillion_config config = test::row_config();
  config.band_length_um = config.row_width_um = 1;
  EXPECT_GT(lowest_rate(config, 0, 0).table_nm, 0);
  config.band_length_um = 2'000'000;
  config.attachment.flow_mm3ps[0] = 500'000;
  EXPECT_GT(lowest_rate(config, -1, 65'536).now_nm, 0);
}

}  // namespace
