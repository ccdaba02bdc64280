// The leak of a worn pair against the textbook's annulus.
//
// Source   concentric annulus, laminar: d = 3 mm, h = 50 um, L = 1 mm, 1 bar, water of 20 C
//          (1.0016 mPa s): 9.802e-6 m3/s; formula from memory, value computed outside this program
#include "model/valve/wear.h"

#include <gtest/gtest.h>

namespace model {
namespace {

TEST(WearPublished, TheConcentricAnnulus) {
  EXPECT_NEAR(annulus_m3pspa(3e-3, 50e-6, 1e-3, 1.0016e-3) * 1e5, 9.802e-6, 1e-9);
}

}  // namespace
}  // namespace model
