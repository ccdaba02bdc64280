// Values that give a setup a coil whose pull is proportional to its current: for tests whose
// expected value is worked out by hand from newtons per ampere. Invented figures.
//
// Checked  tests/sim/study/rig/valve_drive_test.cc
#pragma once

#include <string>
#include <vector>

namespace support {

/// `sets` after the linear coil's own, so that they replace them.
inline std::vector<std::string> with_linear_coil(const std::vector<std::string>& sets = {}) {
  std::vector<std::string> all = {"valve.coil.force_law=\"linear\"",
                                  "valve.coil.inductance=\"2 mH\"",
                                  "valve.coil.force_constant=\"5 N/A\""};
  all.insert(all.end(), sets.begin(), sets.end());
  return all;
}

}  // namespace support
