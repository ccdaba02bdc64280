#include "model/fluid/gas_pocket.h"

#include <gtest/gtest.h>

#include <cmath>

namespace model {
namespace {

TEST(GasPocket, WithoutGasItIsWhatIsPulledApart) {
  EXPECT_EQ(pocket_volume_m3(3e-9, 0.0), 3e-9);
  EXPECT_EQ(pocket_volume_m3(-3e-9, 0.0), 0.0);
  EXPECT_EQ(pocket_volume_m3(0.0, 0.0), 0.0);
}

TEST(GasPocket, SolvesItsQuadraticOnBothSides) {
  for (const double b_m3 : {-1e-6, -1e-9, -1e-15, 0.0, 1e-12, 1e-8})
    for (const double e_m6 : {1e-30, 1e-20, 1e-15}) {
      const double v_m3 = pocket_volume_m3(b_m3, e_m6);
      EXPECT_GT(v_m3, 0.0);
      // V^2 - B V - E = 0, relative to its largest part.
      const double scale = v_m3 * v_m3 + std::abs(b_m3) * v_m3 + e_m6;
      EXPECT_NEAR((v_m3 * v_m3 - b_m3 * v_m3 - e_m6) / scale, 0.0, 1e-14) << b_m3 << " " << e_m6;
    }
}

TEST(GasPocket, MuchCompressedGasKeepsItsPressureVolumeProduct) {
  // B strongly negative: V = E/|B| to first order.
  EXPECT_NEAR(pocket_volume_m3(-1e-6, 1e-20) * 1e-6 / 1e-20, 1.0, 1e-7);
}

}  // namespace
}  // namespace model
