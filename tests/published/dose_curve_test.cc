// Dose against pulse width on the rig is straight above the dead zone: dose = k (w - w0).
//
// Source   law of the pulsed valve: abstracts of pulse-width-modulated spraying (Trans. CSAE 2016
//          no. 01-13; Biosyst. Eng. 178, 2019) report a linear range above a dead time; R2 > 0.999
//          is what a simulation without noise must show
#include <gtest/gtest.h>

#include <vector>

#include "tests/published/rig_setups.h"

namespace {

TEST(DoseCurve, IsStraightAboveTheDeadZone) {
  std::vector<double> width_ms, dose_mm3;
  for (const double ms : {5.0, 7.0, 9.0, 11.0, 13.0, 15.0, 17.0, 19.0}) {
    const auto result = sim::rig::run_rig(sim::rig::load_rig_setup(
        std::string(SILLION_SOURCE_DIR) + "/scenarios/demo_rig.toml",
        {"drive.pulses=1", "drive.on_time=\"" + std::to_string(ms) + " ms\"",
         "record.every=\"1 ms\""}));
    width_ms.push_back(ms);
    dose_mm3.push_back(result.pulses[0].volume_m3 * 1e9);
  }
  const auto n = static_cast<double>(width_ms.size());
  double sx = 0.0, sy = 0.0, sxx = 0.0, sxy = 0.0, syy = 0.0;
  for (std::size_t i = 0; i < width_ms.size(); ++i) {
    sx += width_ms[i];
    sy += dose_mm3[i];
    sxx += width_ms[i] * width_ms[i];
    sxy += width_ms[i] * dose_mm3[i];
    syy += dose_mm3[i] * dose_mm3[i];
  }
  const double slope = (n * sxy - sx * sy) / (n * sxx - sx * sx);
  const double r2 =
      (n * sxy - sx * sy) * (n * sxy - sx * sy) / ((n * sxx - sx * sx) * (n * syy - sy * sy));
  const double dead_ms = sx / n - sy / n / slope;
  printf("dose = %.3f mm3/ms (w - %.3f ms), R2 %.6f\n", slope, dead_ms, r2);
  EXPECT_GT(r2, 0.999);
  EXPECT_GT(dead_ms, 0.0);
  EXPECT_LT(dead_ms, 5.0);
}

}  // namespace
