// How fast liquid can run down a surface: the two bounds that a guide's stated speed lies between.
//
//   fastest   no wall: arrives with the jet's speed u and falls freely, t = 2h/(u + sqrt(u^2+2gh))
//   slowest   a laminar film over the whole width b of the surface in balance with its weight
//             (Nusselt): q = Q/b, w = (g cos(a) q^2/(3 nu))^(1/3), a against the vertical
//
// In       flow m3/s, width m, cosine of the surface against the vertical in (0, 1]
// State    none, pure function     Errors   EXPECTS flow, width, viscosity > 0
// Valid    a rivulet narrower than the surface is faster than the film; inertia carried in from the
//          jet makes it faster still. Film Re = q/nu below some hundreds; wall drag makes a
//          turbulent film slower than the laminar law, which is then no bound
// Source   W. Nusselt, Z. VDI 60 (1916), film of condensate (from memory)
// Checked  tests/model/furrow/outlet_jet_test.cc
#pragma once

#include "model/reproducible_math.h"
#include "model/row_params.h"
#include "shared/check.h"
#include "shared/units.h"

namespace model {

inline double film_speed_mps(const Liquid& liquid, double flow_m3ps, double width_m,
                             double cosine_ratio) {
  EXPECTS(flow_m3ps > 0.0 && width_m > 0.0 && liquid.viscosity_pas > 0.0);
  const double flow_m2ps = flow_m3ps / width_m;
  const double nu_m2ps = liquid.viscosity_pas / liquid.density_kgpm3;
  return pow_of(
      shared::kStandardGravity_mps2 * cosine_ratio * flow_m2ps * flow_m2ps / (3.0 * nu_m2ps),
      1.0 / 3.0);
}

}  // namespace model
