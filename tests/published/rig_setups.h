// The setups of tests/published/setups, run as a person runs them:
// `sillion rig FILE --set KEY=VALUE`.
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <string>
#include <vector>

#include "sim/study/rig/rig.h"

namespace published {

/// Every run must also balance its volume to 1e-10 of what passed.
inline sim::rig::RigResult run_setup(const std::string& name,
                                     const std::vector<std::string>& sets = {}) {
  const sim::rig::RigResult result = sim::rig::run_rig(sim::rig::load_rig_setup(
      std::string(SILLION_SOURCE_DIR) + "/tests/published/setups/" + name + ".toml", sets));
  EXPECT_LE(result.balance.residual_ratio(), 1e-10) << name;
  return result;
}

inline double area_m2(const sim::rig::RigResult& result) {
  const double bore_m = result.setup.part.tube.bore_m;
  return 0.25 * shared::kPi_ratio * bore_m * bore_m;
}

}  // namespace published
