// Ideal ends of a line in the outlet's place, each with an exact answer: one law, other numbers.
//
//   p = p0 + bo Q + Ko Q|Q|
//   root      Ko = drop/flow^2           acts both ways
//   linear    bo = resistance
//   closed    bo so large that nothing passes
//   pressure  p0 alone
//   orifice   the outlet itself (model/fluid/orifice.h), into p0 = 0
//
// Errors   EXPECTS positive root_flow, root_drop, resistance where the kind needs them
// Valid    ideal ends make no void and no jet; they pass liquid both ways
// Source   boundary conditions of waterhammer texts, e.g. Wylie, Streeter 1993, ch. 3
// Checked  tests/model/fluid/ideal_end_test.cc
#pragma once

#include "model/fluid/orifice.h"
#include "shared/check.h"

namespace model {

/// So large that the flow F / bo is less than one molecule per century.
inline constexpr double kClosed_paspm3 = 1e200;

inline OutletPlan<double> make_end_plan(const RowUnitParams& params) {
  const IdealEnd& end = params.end;
  switch (end.kind) {
    case EndKind::kOrifice: return make_outlet_plan(params.outlet, params.liquid);
    case EndKind::kRoot:
      EXPECTS(end.root_flow_m3ps > 0.0 && end.root_drop_pa > 0.0);
      return {.loss_pas2pm6 = end.root_drop_pa / (end.root_flow_m3ps * end.root_flow_m3ps)};
    case EndKind::kLinear:
      EXPECTS(end.resistance_paspm3 > 0.0);
      return {.laminar_paspm3 = end.resistance_paspm3};
    case EndKind::kClosed: return {.laminar_paspm3 = kClosed_paspm3};
    case EndKind::kPressure: return {.behind_pa = end.pressure_pa};
  }
  return {};
}

/// Pressure at the end while flow_m3ps leaves.
inline double end_pressure_pa(const OutletPlan<double>& end, double flow_m3ps) {
  return end.behind_pa + end.laminar_paspm3 * flow_m3ps +
         end.loss_pas2pm6 * flow_m3ps * abs_of(flow_m3ps);
}

}  // namespace model
