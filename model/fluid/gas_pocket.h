// A pocket of gas or vapour at the end of a line: how its volume settles within one step.
//
//   dV/dt = q_line - q_node,  q_line = (p - G)/Z leaves into the line,  (p - p_vap) V = C
//   V = (B + sqrt(B^2 + 4 E))/2,  B = V_old + dt ((p_vap - G)/Z - q_node),  E = dt C/Z
//   B < 0: the same root as 2 E/(sqrt(B^2 + 4 E) - B), without cancellation
//   C = 0: V = B where B > 0 (vapour), else V = 0: the pocket closes and
//          q_line = q_node - V_old/dt conserves volume
//
// In       volumes m3, E in m6 >= 0       Out   V >= 0        State   none, pure function
// Errors   none; a not-a-number input gives not-a-number or 0, for which the row looks
// Source   vapour and gas cavities: Wylie, Streeter 1993, ch. 8; isothermal gas
// Checked  tests/model/fluid/gas_pocket_test.cc
#pragma once

#include "model/number.h"

namespace model {

/// Pocket volume at the end of a step from B and E above.
template <class Real>
inline Real pocket_volume_m3(Real free_m3, Real gas_m6) {
  const Real root_m3 = sqrt_of(free_m3 * free_m3 + Real(4.0) * gas_m6);
  const auto grows = free_m3 > Real(0.0);
  const Real below_m3 = root_m3 - free_m3;
  const auto safe = below_m3 > Real(0.0);
  const Real small_m3 =
      select(safe, Real(2.0) * gas_m6 / select(safe, below_m3, Real(1.0)), Real(0.0));
  return select(grows, Real(0.5) * (free_m3 + root_m3), small_m3);
}

}  // namespace model
