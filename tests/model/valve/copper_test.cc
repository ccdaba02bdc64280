#include "model/valve/copper.h"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

namespace model {
namespace {

TEST(Copper, AtTwentyDegreesItIsTheGivenOneToTheBit) {
  for (const double ohm : {4.0, 3.7, 0.1}) EXPECT_EQ(copper_ohm(ohm, kTwentyCelsius_k), ohm);
}

// After one time constant 1 - 1/e of the way to ambient + P R_th: 30 C + 5 W * 8 K/W = 70 C.
TEST(Copper, WarmsToAmbientPlusPowerTimesResistance) {
  const Cooling cooling{.thermal_kpw = 8.0, .time_s = 120.0, .ambient_k = 303.15};
  EXPECT_NEAR(warmed_k(303.15, 5.0, 120.0, cooling), 303.15 + 40.0 * (1.0 - 1.0 / std::numbers::e),
              1e-9);
  double temperature_k = 280.0;
  for (int slot = 0; slot < 300'000; ++slot)
    temperature_k = warmed_k(temperature_k, 5.0, 0.01, cooling);
  EXPECT_NEAR(temperature_k, 343.15, 1e-6);
}

TEST(Copper, StepsOfAnySizeComeToTheSame) {
  const Cooling cooling{.thermal_kpw = 8.0, .time_s = 120.0, .ambient_k = 290.0};
  double temperature_k = 290.0;
  for (int slot = 0; slot < 5000; ++slot)
    temperature_k = warmed_k(temperature_k, 3.0, 0.01, cooling);
  EXPECT_NEAR(temperature_k, warmed_k(290.0, 3.0, 50.0, cooling), 1e-9);
}

TEST(Copper, WithoutAThermalModelTheTemperatureIsHeld) {
  EXPECT_EQ(warmed_k(353.15, 50.0, 1e4, {.thermal_kpw = 0.0}), 353.15);
}

}  // namespace
}  // namespace model
