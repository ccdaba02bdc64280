#include "model/fluid/wave_speed.h"

#include <cmath>
#include <stdexcept>

#include "shared/check.h"

namespace model {
namespace {

// From 1/(rho_m a^2); stiff_ppa is the compressibility of liquid and wall without gas.
double mixture_speed_mps(double stiff_ppa, const Liquid& liquid, double pressure_abs_pa) {
  const double share_ratio = gas_share_ratio(liquid.gas_ratio, pressure_abs_pa);
  const double soft_ppa =
      stiff_ppa - share_ratio / liquid.bulk_modulus_pa + share_ratio / pressure_abs_pa;
  return std::sqrt(1.0 / ((1.0 - share_ratio) * liquid.density_kgpm3 * soft_ppa));
}

}  // namespace

double wall_psi_ratio(double bore_m, const Wall& wall) {
  EXPECTS(bore_m > 0.0 && wall.thickness_m > 0.0);
  const double inner_m = 0.5 * bore_m;
  const double outer_m = inner_m + wall.thickness_m;
  const double inner_m2 = inner_m * inner_m;
  const double outer_m2 = outer_m * outer_m;
  const double nu_ratio = wall.poisson_ratio;
  const double ring_m2 = outer_m2 - inner_m2;
  switch (wall.restraint) {
    case Restraint::kJointed: return 2.0 * ((outer_m2 + inner_m2) / ring_m2 + nu_ratio);
    case Restraint::kAnchored:
      return 2.0 * (1.0 + nu_ratio) * (outer_m2 + inner_m2 - 2.0 * nu_ratio * inner_m2) / ring_m2;
    case Restraint::kAnchoredUpstream: break;
  }
  return 2.0 * ((outer_m2 + 1.5 * inner_m2) + nu_ratio * (outer_m2 - 3.0 * inner_m2)) / ring_m2;
}

double gas_share_ratio(double gas_ratio, double pressure_abs_pa) {
  EXPECTS(gas_ratio >= 0.0 && gas_ratio < 1.0 && pressure_abs_pa > 0.0);
  const double gas_pa = gas_ratio * shared::kStandardAtmosphere_pa;
  return gas_pa / (gas_pa + (1.0 - gas_ratio) * pressure_abs_pa);
}

double wave_speed_of_wall_mps(double bore_m, const Wall& wall, const Liquid& liquid,
                              double pressure_abs_pa) {
  EXPECTS(liquid.bulk_modulus_pa > 0.0 && liquid.density_kgpm3 > 0.0);
  double stiff_ppa = 1.0 / liquid.bulk_modulus_pa;
  if (wall.thickness_m > 0.0) {
    EXPECTS(wall.modulus_pa > 0.0);
    stiff_ppa += wall_psi_ratio(bore_m, wall) / wall.modulus_pa;
  }
  return mixture_speed_mps(stiff_ppa, liquid, pressure_abs_pa);
}

double wave_speed_with_gas_mps(double wave_speed_mps, const Liquid& liquid,
                               double pressure_abs_pa) {
  EXPECTS(wave_speed_mps > 0.0);
  if (liquid.gas_ratio == 0.0) return wave_speed_mps;  // bit for bit as stated
  return mixture_speed_mps(1.0 / (liquid.density_kgpm3 * wave_speed_mps * wave_speed_mps), liquid,
                           pressure_abs_pa);
}

void finish_line(Line& line, const Liquid& liquid, double pressure_abs_pa) {
  const auto require = [](bool holds, const char* what) {
    if (!holds) throw std::invalid_argument(what);
  };
  if (line.wall.thickness_m > 0.0) {
    require(line.wall.modulus_pa > 0.0, "a wall needs its modulus");
    require(line.wall.poisson_ratio >= 0.0 && line.wall.poisson_ratio <= 0.5,
            "Poisson's ratio must lie in [0, 0.5]");
    line.wave_speed_mps = wave_speed_of_wall_mps(line.bore_m, line.wall, liquid, pressure_abs_pa);
    return;
  }
  require(line.creep.empty(), "creep needs the wall");
  require(line.wave_speed_mps > 0.0, "state a wave speed or a wall");
  line.wave_speed_mps = wave_speed_with_gas_mps(line.wave_speed_mps, liquid, pressure_abs_pa);
}

Liquid with_gas(Liquid liquid) {
  if (liquid.gas_ratio > 0.0) liquid.density_kgpm3 *= 1.0 - liquid.gas_ratio;
  return liquid;
}

}  // namespace model
