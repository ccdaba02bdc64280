// What a line takes up sideways at its stations (model/fluid/line.h): creep of the wall and a gas
// pocket. It is a separate pass before the stations and runs only in lines that have either.
//
//   creep    Kelvin-Voigt element k: tau dV/dt + V = A l psi J_k p, exact for a p that is straight
//            within the step: V' = V + (r - 1) V + b p + n p', x = dt/tau, r = e^-x,
//            b = C ((1 - r)/x - r), n = C (1 - (1 - r)/x)
//            implicit: s = (sum of V' - V)/dt, 2 p = F + G - Z s; p >= p_vap, = p_vap on a cavity
//   pocket   (p - p_vap) V = c, 2 p = F + G - Z s + Z (V' - V)/dt:
//            V' = pocket(V + dt (2 p_vap - F - G + Z s)/Z, 2 dt c/Z)  (gas_pocket.h)
//   Both waves fall by Z s and rise by Z (V' - V)/dt. The cavity of a station is then computed
//   with 2 p_vap - Z s instead of 2 p_vap; beside a pocket nothing boils.
//
// In       LinePlan, waves that arrive at the stations       Errors  EXPECTS tau > 0, a station
// State    creep_m3, creep_pressure_pa, boil_pa, pocket_m3: the caller's
// Valid    linear, small strain; psi as the elastic wall's; bulk compressibility of the liquid does
//          not creep; creep of a station's length acts at one place; isothermal gas; where creep
//          and pocket share a station, creep feels the pocket's pressure of the step before
// Source   creep: D. Covas et al., J. Hydraul. Res. 43, 56-70, 2005 (from memory); pocket: Wylie,
//          Streeter 1993, ch. 8
// Checked  tests/model/fluid/line_sides_test.cc
#pragma once

#include "model/fluid/gas_pocket.h"
#include "model/fluid/line_cavities.h"
#include "model/number.h"

namespace model {

void add_sides(const Line& line, const LineSetup& setup, LinePlan<double>& plan);
/// The sides at rest under the pressure that the waves of station j make.
void rest_sides(const LinePlan<double>& plan, LineState<double>& state, std::size_t station,
                double pressure_pa);

/// Head rho g z of a station.
template <class Real>
inline Real station_head_pa(const LinePlan<Real>& plan, std::size_t station) {
  return plan.inlet_head_pa +
         plan.cell_head_pa *
             Real(static_cast<double>(segment_of(plan, static_cast<int>(station) + 1).first_cell));
}

/// Lets station j creep under p = (sum - z_paspm3 s)/2 or, if `held`, under `held_pa`; returns s.
template <class Real>
inline Real creep_station_m3ps(const LinePlan<Real>& plan, LineState<Real>& state, std::size_t j,
                               Real sum_pa, MaskOf<Real> held, Real held_pa) {
  const auto stations = static_cast<std::size_t>(plan.stations);
  const Real weight = plan.weight_ratio[j];
  const Real per_step_ps = plan.half_per_step_ps + plan.half_per_step_ps;
  const Real old_pa = state.creep_pressure_pa[j];
  Real known_m3{};  // growth that p' does not change
  Real slope_m3ppa{};
  for (std::size_t k = 0; k < plan.creep.size(); ++k) {
    const CreepStep<Real>& step = plan.creep[k];
    known_m3 = known_m3 + step.keep_less_one_ratio * state.creep_m3[k * stations + j] +
               weight * step.before_m3ppa * old_pa;
    slope_m3ppa = slope_m3ppa + weight * step.now_m3ppa;
  }
  const Real z_ps = plan.impedance_paspm3 * per_step_ps;
  Real pressure_pa = (sum_pa - z_ps * known_m3) / (Real(2.0) + z_ps * slope_m3ppa);
  if (plan.clips) pressure_pa = max_of(pressure_pa, plan.liquid_vapour_pa);
  pressure_pa = select(held, held_pa, pressure_pa);
  for (std::size_t k = 0; k < plan.creep.size(); ++k) {
    const CreepStep<Real>& step = plan.creep[k];
    Real& wall_m3 = state.creep_m3[k * stations + j];
    wall_m3 = wall_m3 + (step.keep_less_one_ratio * wall_m3 +
                         weight * (step.before_m3ppa * old_pa + step.now_m3ppa * pressure_pa));
  }
  state.creep_pressure_pa[j] = pressure_pa;
  return (known_m3 + slope_m3ppa * pressure_pa) * per_step_ps;
}

template <class Real>
[[gnu::noinline]] void pass_sides(const LinePlan<Real>& plan, LineState<Real>& state) {
  const std::size_t from = ring_row(state.step, -plan.middle_delay, plan.row_mask) * plan.stride;
  for (std::size_t j = 0; j < static_cast<std::size_t>(plan.stations); ++j) {
    Real& f_pa = state.downstream_pa[from + j];
    Real& g_pa = state.upstream_pa[from + j + 1];
    const bool gas = static_cast<int>(j) == plan.pocket_station;
    const Real head_pa = station_head_pa(plan, j);
    const Real gauge_pa = f_pa + g_pa - (head_pa + head_pa);  // twice the pressure without sides
    const Real held_pa =
        gas ? plan.liquid_vapour_pa + plan.pocket_pam3 / state.pocket_m3 : plan.liquid_vapour_pa;
    const MaskOf<Real> held =
        (Real(gas ? 1.0 : 0.0) > Real(0.0)) | (state.cavity_m3[j] > Real(0.0));
    const Real fall_pa =
        plan.creep.empty()
            ? Real(0.0)
            : plan.impedance_paspm3 * creep_station_m3ps(plan, state, j, gauge_pa, held, held_pa);
    Real rise_pa = -fall_pa;
    state.boil_pa[j] = plan.boil_pa[j] - fall_pa;
    if (gas) {
      const Real dt_over_z_m3ppa = plan.step_over_impedance_m3ppa;
      const Real free_m3 =
          state.pocket_m3 +
          dt_over_z_m3ppa * (plan.liquid_vapour_pa + plan.liquid_vapour_pa - (gauge_pa - fall_pa));
      const Real twice_m6 = dt_over_z_m3ppa * (plan.pocket_pam3 + plan.pocket_pam3);
      const Real new_m3 = pocket_volume_m3(free_m3, twice_m6);
      rise_pa = rise_pa + (new_m3 - state.pocket_m3) / dt_over_z_m3ppa;
      state.pocket_m3 = new_m3;
      state.boil_pa[j] = Real(-2e300);
    }
    f_pa = f_pa + rise_pa;
    g_pa = g_pa + rise_pa;
  }
}

}  // namespace model
