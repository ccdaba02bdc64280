// Materials for the walls of hose and tube, for studies that compare them.
//
//   The wave speed comes from modulus, Poisson's ratio and wall thickness
//   (model/fluid/wave_speed.h), for a line that is held along its whole length. The modulus of a
//   batch lies within the range that stands beside it.
//
// Source   low-density polyethylene: 9.8 to 26.6 kgf/mm2 (machine handbook table of plastics);
//          polyamide 12, plasticised PVC, polyurethane, copper, stainless steel: typical values
//          from memory. Thickness: common sizes of small lines, common practice, no source
// Checked  tests/sim/study/outlet/outlet_part_test.cc
#pragma once

#include <array>
#include <string_view>

namespace sim::outlet {

struct WallMaterial {
  std::string_view name;
  double modulus_pa = 0.0;
  double least_modulus_pa = 0.0;
  double most_modulus_pa = 0.0;
  double poisson_ratio = 0.45;
  double thickness_m = 1e-3;
  bool by_default = true;  // in the grid where no walls are stated
};

inline constexpr std::string_view kWallAsStated = "as stated";

inline constexpr std::array kWallMaterials = {
    WallMaterial{"plasticised PVC", 10e6, 5e6, 50e6, 0.48, 2e-3, true},
    WallMaterial{"polyurethane", 50e6, 20e6, 100e6, 0.48, 1.5e-3, false},
    WallMaterial{"low-density polyethylene", 180e6, 96e6, 261e6, 0.45, 1e-3, true},
    WallMaterial{"polyamide 12", 1.2e9, 1.0e9, 1.5e9, 0.40, 1e-3, true},
    WallMaterial{"copper", 120e9, 110e9, 130e9, 0.34, 1e-3, false},
    WallMaterial{"stainless steel", 195e9, 190e9, 200e9, 0.30, 1e-3, true}};

}  // namespace sim::outlet
