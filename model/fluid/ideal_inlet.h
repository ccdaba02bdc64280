// Ideal inlets of a bare tube: a flow, a pressure, or a valve with a prescribed opening between a
// constant pressure and the tube. Gas or vapour may stand at the tube's start.
//
//   flow      Q given
//   pressure  p given: q = (p - G)/Z, no pocket
//   opening   Q = o flow sqrt(dp/at), both ways: p_s - p = k Q|Q|, k = at/(o flow)^2, p = G + Z Q:
//             Q = 2 D/(Z + sqrt(Z^2 + 4 k |D|)), D = p_s - G;  o = 0: Q = 0
//   pocket    V = V_old + dt (q - Q) >= 0, q = (p - G)/Z, (p - p_vap) V = C: the root of
//             model/fluid/gas_pocket.h. Q of an opening depends on p, so both are found together
//             by passes along the pocket's slope, as in the valve's node.
//
// In       G in Pa, the value (flow, pressure or opening) as mean of the step
// Out      flow into node and line, pressure, pocket; volume is conserved whatever Q is
// State    pocket_m3, the caller's       Errors  none
// Source   Wylie, Streeter 1993, ch. 3 and 8
// Checked  tests/model/row/bare_tube_test.cc
#pragma once

#include <cstdint>

#include "model/fluid/gas_pocket.h"

namespace model {

enum class InletKind : std::uint8_t { kFlow, kPressure, kOpening };

struct IdealInlet {
  InletKind kind = InletKind::kFlow;
  double full_flow_m3ps = 0.0;  // kOpening: flow of the full opening at full_drop_pa
  double full_drop_pa = 0.0;
  double supply_pa = 0.0;
};

struct InletNode {
  double flow_m3ps = 0.0;       // Q, from outside
  double line_flow_m3ps = 0.0;  // q, into the line
  double pressure_pa = 0.0;
  double pocket_m3 = 0.0;
};

struct InletStep {
  double impedance_paspm3 = 0.0;
  double step_s = 0.0;
  double vapour_pa = 0.0;  // gauge; -1e300 where cavities are off
  double gas_pam3 = 0.0;   // C; 0: none
};

/// Flow through an opening against a line that answers p = free_pa + line_paspm3 Q.
inline double opening_flow_m3ps(const IdealInlet& inlet, double opening_ratio, double free_pa,
                                double line_paspm3) {
  const double passes_m3ps = opening_ratio * inlet.full_flow_m3ps;
  if (!(passes_m3ps > 0.0)) return 0.0;
  const double loss_pas2pm6 = inlet.full_drop_pa / (passes_m3ps * passes_m3ps);
  const double driving_pa = inlet.supply_pa - free_pa;
  const double size_m3ps =
      2.0 * abs_of(driving_pa) /
      (line_paspm3 + sqrt_of(line_paspm3 * line_paspm3 + 4.0 * loss_pas2pm6 * abs_of(driving_pa)));
  return driving_pa < 0.0 ? -size_m3ps : size_m3ps;
}

/// Pocket and line for a given flow from outside.
inline InletNode close_inlet(const InletStep& step, double arriving_pa, double flow_m3ps,
                             double pocket_m3) {
  const double step_over_z_m3ppa = step.step_s / step.impedance_paspm3;
  const double free_m3 =
      pocket_m3 + step_over_z_m3ppa * (step.vapour_pa - arriving_pa) - step.step_s * flow_m3ps;
  InletNode node{.flow_m3ps = flow_m3ps};
  node.pocket_m3 = step.gas_pam3 > 0.0
                       ? pocket_volume_m3(free_m3, step_over_z_m3ppa * step.gas_pam3)
                       : max_of(free_m3, 0.0);
  // Without a pocket before and after the step the line takes this flow to the last bit.
  const double growth_m3 = node.pocket_m3 - pocket_m3;
  node.line_flow_m3ps = flow_m3ps + growth_m3 / step.step_s;
  node.pressure_pa = arriving_pa + step.impedance_paspm3 * node.line_flow_m3ps;
  // Where vapour stands, its pressure is known more exactly than the sum of the waves gives it.
  if (node.pocket_m3 > 0.0 && !(step.gas_pam3 > 0.0)) node.pressure_pa = step.vapour_pa;
  return node;
}

inline InletNode solve_inlet(const IdealInlet& inlet, const InletStep& step, double arriving_pa,
                             double value, double pocket_m3) {  // tidy: unit is the kind's
  const double z_paspm3 = step.impedance_paspm3;
  if (inlet.kind == InletKind::kPressure) {
    const double flow_m3ps = (value - arriving_pa) / z_paspm3;
    return {.flow_m3ps = flow_m3ps, .line_flow_m3ps = flow_m3ps, .pressure_pa = value};
  }
  if (inlet.kind == InletKind::kFlow) return close_inlet(step, arriving_pa, value, pocket_m3);
  InletNode node = close_inlet(step, arriving_pa,
                               opening_flow_m3ps(inlet, value, arriving_pa, z_paspm3), pocket_m3);
  if (!(node.pocket_m3 + pocket_m3 > 0.0)) return node;
  constexpr int kPasses = 8;  // each gains two digits or more; the pocket is stiff only when tiny
  for (int pass = 0; pass < kPasses; ++pass) {
    const double v_m3 = node.pocket_m3;
    const double gas_pam3 = step.gas_pam3;
    double slope_paspm3 = v_m3 > 0.0 ? 0.0 : z_paspm3;
    if (gas_pam3 > 0.0)
      slope_paspm3 = 1.0 / (1.0 / z_paspm3 + v_m3 * v_m3 / (step.step_s * gas_pam3));
    const double free_pa = node.pressure_pa - slope_paspm3 * node.flow_m3ps;
    node = close_inlet(step, arriving_pa, opening_flow_m3ps(inlet, value, free_pa, slope_paspm3),
                       pocket_m3);
  }
  return node;
}

}  // namespace model
