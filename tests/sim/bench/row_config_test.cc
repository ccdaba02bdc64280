#include "sim/bench/row_config.h"

#include <gtest/gtest.h>

#include "shared/units.h"

namespace {

// 5 gal/ac = 46.769781 l/ha (exact factor 22225/2376), 1 l/ha = 100 nm; 0.762 m rows; 75 mm band.
TEST(RowConfig, TheScenarioArrivesInTheIntegersOfTheInterface) {
  sim::scenario::Scenario scenario;
  scenario.rate.in_band_m3pm2 = 5.0 * shared::kGallonPerAcre_m3pm2;
  scenario.rate.band_length_m = 0.075;
  const auto config = sim::bench::row_config(scenario, 7, {}, -1500);
  EXPECT_EQ(config.in_band_rate_nm, 4677);
  EXPECT_EQ(config.row_width_um, 762'000);
  EXPECT_EQ(config.band_length_um, 75'000);
  EXPECT_EQ(config.row_y_mm, 2667);
  EXPECT_EQ(config.trim_um, -1500);
  EXPECT_EQ(config.role, static_cast<std::uint32_t>(SILLION_ROLE_ROW));
}

}  // namespace
