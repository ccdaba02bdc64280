// The cable to the bus in the cab is cut or short-circuited: no frame passes on the bus.
//
// Checked  tests/sim/bench/network_faults_test.cc
#pragma once

#include "sim/scenario/faults/seam.h"

namespace sim::scenario {

struct LostCabLink {
  static constexpr const char* kName = "lost_cab_link";
  static constexpr const char* kHelp =
      "no frame passes on the bus in the cab between from and until";
  static constexpr bool kOfMachine = true;
};
inline void describe(LostCabLink&, auto&) {}
inline void bend(const LostCabLink&, PlantSeam& seam) { seam.speed_lost = true; }
inline void bend(const LostCabLink&, CabSeam& seam) { seam.cut = true; }

}  // namespace sim::scenario
