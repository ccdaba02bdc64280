// The wave speed of a line, from its wall, its liquid and the free gas in the liquid.
//
//   a = sqrt((K/rho)/(1 + (K/E) psi)),  Ri = bore/2, Ro = Ri + wall, nu Poisson's ratio
//   jointed (no axial stress)   psi = 2 [(Ro^2 + Ri^2)/(Ro^2 - Ri^2) + nu]
//   anchored throughout         psi = 2 (1 + nu) (Ro^2 + Ri^2 - 2 nu Ri^2)/(Ro^2 - Ri^2)
//   anchored upstream           psi = 2 [(Ro^2 + 1.5 Ri^2) + nu (Ro^2 - 3 Ri^2)]/(Ro^2 - Ri^2)
//   free gas (Wood)   1/(rho_m a^2) = (1 - al)/K + al/p + psi/E,  rho_m = (1 - al) rho, isothermal
//   A stated wave speed holds without free gas: 1/(rho a^2) stands for 1/K + psi/E in that sum.
//   al at p follows from its value at the atmosphere: al = a0 p0/(a0 p0 + (1 - a0) p)
//
// In       SI, p absolute > 0; the liquid's values are those without gas      Out   m/s, psi
// Errors   EXPECTS sizes > 0; finish_line throws std::invalid_argument (neither wall nor wave
//          speed, a wall without modulus, Poisson's ratio outside [0, 0.5])
// Valid    wave lengths long against the bore; wall elastic, its mass left out; gas in bubbles
//          that stay where they are and keep their temperature, at one pressure p: a pulse that
//          squeezes them does not stiffen the line here, as it would in fact
// Source   thick walls: A. R. Halliwell, J. Hydraul. Div. 89, 1963; M. H. Chaudhry, Applied
//          Hydraulic Transients, ch. 1 (from memory, derived again from Lame's solution);
//          A. B. Wood, A Textbook of Sound, 1930
// Checked  tests/published/wave_speed_test.cc
#pragma once

#include "model/row_params.h"

namespace model {

/// psi; the wall's elastic part of the compressibility is psi/E.
double wall_psi_ratio(double bore_m, const Wall& wall);
/// Share of free gas by volume at p_abs, from its share at the atmosphere.
double gas_share_ratio(double gas_ratio, double pressure_abs_pa);
/// Wave speed by wall and liquid; without a wall (thickness 0) the liquid's own: a rigid line.
double wave_speed_of_wall_mps(double bore_m, const Wall& wall, const Liquid& liquid,
                              double pressure_abs_pa);
/// A wave speed that holds without free gas, slowed by the liquid's gas_ratio.
double wave_speed_with_gas_mps(double wave_speed_mps, const Liquid& liquid, double pressure_abs_pa);
/// Sets line.wave_speed_mps: from the wall where it has a thickness, else from the wave speed that
/// stands there; the liquid's free gas slows both. Call it once, before with_gas.
void finish_line(Line& line, const Liquid& liquid, double pressure_abs_pa);
/// The liquid with its free gas mixed in: density (1 - gas_ratio) rho. Call it once, last.
Liquid with_gas(Liquid liquid);

}  // namespace model
