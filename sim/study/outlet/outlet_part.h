// One choice of outlet, tube and hose, and a scenario's row with it.
//
//   A wall from the list of materials replaces the line's own wall and its creep. "as stated" keeps
//   them: a stated wave speed then holds for every bore, a stated wall gives a new wave speed. The
//   step is made small enough for both lines to hold their stations.
//
// Errors   std::invalid_argument when no step fits hose and tube (model/row/row_fit.h)
// Checked  tests/sim/study/outlet/outlet_part_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/scenario/scenario.h"

namespace sim::outlet {

struct OutletPart {
  double bore_m = 0.0;
  double tube_bore_m = 0.0;
  double tube_length_m = 0.0;
  double hose_bore_m = 0.0;
  double hose_length_m = 0.0;
  std::string tube_wall;
  std::string hose_wall;
};

OutletPart part_of(const scenario::Scenario& scenario);
/// The number of entries, of seven, in which two parts differ.
int changes_between(const OutletPart& a, const OutletPart& b);
scenario::Scenario with_part(const scenario::Scenario& scenario, const OutletPart& part);
std::vector<std::string> wall_names();
/// Wave speed of the tube over the range of its material's modulus; where the wall is as stated,
/// both ends are the speed that is used.
struct WaveSpeedRange {
  double least_mps = 0.0;
  double most_mps = 0.0;
};
WaveSpeedRange tube_wave_speeds(const scenario::Scenario& scenario, const OutletPart& part);

}  // namespace sim::outlet
