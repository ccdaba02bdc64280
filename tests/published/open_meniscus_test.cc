// Evaporation out of an open end against Stefan's tube: a textbook's tube worked again by hand, and
// the vapour pressure of water from IAPWS.
#include "model/fluid/open_meniscus.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/support/iapws.h"

// Bird, Stewart, Lightfoot: carbon tetrachloride evaporating into oxygen at 0 C and 755 mmHg,
// vapour pressure 33 mmHg, 171 mm from the level to the mouth, 0.0208 cm3 of liquid in 10 h from
// 0.82 cm2, density 1.59 g/cm3, molar mass 154; the answer there is D = 0.0636 cm2/s (from memory).
// By hand: the level falls by 0.0208/0.82 = 0.0254 cm in 36 000 s.
TEST(OpenMeniscus, CarbonTetrachlorideOfTheTextbook) {
  constexpr double kMercury_pa = 133.322;
  const model::OpenMeniscus tube{.density_kgpm3 = 1590.0,
                                 .vapour_abs_pa = 33.0 * kMercury_pa,
                                 .air_vapour_abs_pa = 0.0,
                                 .atmosphere_abs_pa = 755.0 * kMercury_pa,
                                 .temperature_k = 273.0,
                                 .diffusivity_m2ps = 0.0636e-4,
                                 .gas_constant = 8.314 / 0.154};
  const double fall_m = model::drawn_back_m(0.171, model::drying_m2ps(tube), 36'000.0) - 0.171;
  EXPECT_NEAR(fall_m, 0.0254e-2, 0.02 * 0.0254e-2);
}

// Water at 20 C into air of half humidity: K = 2.5e-5 * 101325/(998.2 * 461.52 * 293.15) *
// ln((101325 - 1169.6)/(101325 - 2339.3)) = 1.8756e-8 * 0.011747 = 2.203e-10 m2/s; 300 s from the
// rim: sqrt(2 * 2.203e-10 * 300) = 0.3636 mm.
TEST(OpenMeniscus, WaterAfterFiveMinutesByHand) {
  const model::OpenMeniscus rim{.air_vapour_abs_pa = 1169.65};
  EXPECT_NEAR(model::drying_m2ps(rim), 2.203e-10, 0.005e-10);
  EXPECT_NEAR(model::drawn_back_m(0.0, model::drying_m2ps(rim), 300.0), 0.3636e-3, 0.001e-3);
}

TEST(OpenMeniscus, NothingDriesIntoAirThatHoldsMore) {
  const model::OpenMeniscus salty{.vapour_abs_pa = 1000.0, .air_vapour_abs_pa = 1169.65};
  EXPECT_EQ(model::drying_m2ps(salty), 0.0);
  EXPECT_EQ(model::drawn_back_m(1e-3, 0.0, 300.0), 1e-3);
}

TEST(OpenMeniscus, DeeperMeniscusDriesMoreSlowly) {
  const double k_m2ps = model::drying_m2ps({});
  const double from_rim_m = model::drawn_back_m(0.0, k_m2ps, 300.0);
  const double from_below_m = model::drawn_back_m(5e-3, k_m2ps, 300.0) - 5e-3;
  EXPECT_GT(from_rim_m, from_below_m);
  EXPECT_GT(from_below_m, 0.0);
}

// IAPWS: saturation pressure of water over the temperatures of a field, within half a per cent.
TEST(OpenMeniscus, VapourPressureOfWaterIsThatOfIapws) {
  for (const double celsius : {1.0, 10.0, 20.0, 30.0, 40.0}) {
    const double temperature_k = celsius + 273.15;
    EXPECT_NEAR(model::water_vapour_pressure_pa(temperature_k) /
                    iapws::saturation_pressure_abs_pa(temperature_k),
                1.0, 5e-3)
        << celsius;
  }
}
