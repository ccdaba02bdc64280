#include "model/machine/manifold.h"

#include <algorithm>
#include <cmath>

#include "model/reproducible_math.h"
#include "shared/check.h"

namespace model {
namespace {

constexpr double kLeastSet_pa = 1e3;
/// Halves the bracket to the last bit of a double.
constexpr int kHalvings = 100;

double stiffness_m3ppa(const Manifold& manifold) {
  return manifold.volume_m3 / manifold.modulus_pa;
}

/// p of C p - A/(p_atm + p) = S, the root that has p_abs > 0:
///   C P^2 - (C p_atm + S) P - A = 0 for P = p_atm + p, in the form that does not cancel.
double pressure_of_pa(const Manifold& manifold, double stored_m3, double gas_pam3) {
  const double c_m3ppa = stiffness_m3ppa(manifold);
  if (gas_pam3 == 0.0) return stored_m3 / c_m3ppa;
  const double b_m3 = c_m3ppa * manifold.atmosphere_pa + stored_m3;
  const double root_m3 = std::sqrt(b_m3 * b_m3 + 4.0 * c_m3ppa * gas_pam3);
  const double abs_pa =
      b_m3 > 0.0 ? 0.5 * (b_m3 + root_m3) / c_m3ppa : 2.0 * gas_pam3 / (root_m3 - b_m3);
  return abs_pa - manifold.atmosphere_pa;
}

/// Flow of the pump as it fills the manifold: air is compressed to the manifold's pressure.
double fills_m3ps(const Manifold& manifold, const ManifoldState& state, double pressure_pa) {
  const double flow_m3ps = pump_flow_m3ps(manifold, pressure_pa);
  if (!state.air) return flow_m3ps;
  return flow_m3ps * manifold.atmosphere_pa /
         std::max(manifold.atmosphere_pa + pressure_pa, 1e-3 * manifold.atmosphere_pa);
}

}  // namespace

double pump_flow_m3ps(const Manifold& manifold, double pressure_pa) {
  const double left_ratio = std::clamp(1.0 - pressure_pa / manifold.pump_pa, 0.0, 1.0);
  return manifold.pump_m3ps *
         (manifold.curve == PumpCurve::kLinear ? left_ratio : std::sqrt(left_ratio));
}

double relief_flow_m3ps(const Manifold& manifold, double setpoint_pa, double over_pa,
                        double pressure_pa) {
  if (pressure_pa <= 0.0) return 0.0;
  return manifold.pump_m3ps / manifold.override_pa * over_pa *
         std::sqrt(pressure_pa / std::max(setpoint_pa, kLeastSet_pa));
}

double compliance_m3ppa(const Manifold& manifold, const ManifoldState& state) {
  const double abs_pa = manifold.atmosphere_pa + state.pressure_pa;
  const double gas_m3ppa = state.gas_pam3 == 0.0 ? 0.0 : state.gas_pam3 / (abs_pa * abs_pa);
  return stiffness_m3ppa(manifold) + gas_m3ppa;
}

ManifoldState filled_manifold(const Manifold& manifold, double pressure_pa) {
  EXPECTS(manifold.pump_m3ps > 0.0 && manifold.pump_pa > 0.0 && manifold.override_pa > 0.0 &&
          manifold.volume_m3 > 0.0 && manifold.modulus_pa > 0.0);
  ManifoldState state;
  state.pressure_pa = pressure_pa;
  state.stored_m3 = stiffness_m3ppa(manifold) * pressure_pa;
  return state;
}

ManifoldFlows plan_flows(const Manifold& manifold, const ManifoldState& state, double setpoint_pa,
                         double step_s, double rows_m3ps) {
  EXPECTS(step_s > 0.0 && manifold.relief_lag_s >= 0.0);
  const double c_m3ppa = compliance_m3ppa(manifold, state);
  const double moves_ratio =
      manifold.relief_lag_s > 0.0 ? -expm1_of(-step_s / manifold.relief_lag_s) : 1.0;
  const auto over_at_pa = [&](double p_pa) {
    return state.over_pa + moves_ratio * (std::max(0.0, p_pa - setpoint_pa) - state.over_pa);
  };
  const auto missing_m3 = [&](double p_pa) {  // rises with p
    const double net_m3ps = fills_m3ps(manifold, state, p_pa) -
                            relief_flow_m3ps(manifold, setpoint_pa, over_at_pa(p_pa), p_pa) -
                            rows_m3ps;
    return c_m3ppa * (p_pa - state.pressure_pa) - step_s * net_m3ps;
  };
  const double reach_pa = step_s * (manifold.pump_m3ps + std::abs(rows_m3ps)) / c_m3ppa;
  double low_pa = std::min(0.0, state.pressure_pa) - reach_pa;
  double high_pa = std::max(manifold.pump_pa, state.pressure_pa) + reach_pa;
  // air expands below the atmosphere, but its pressure falls no lower than a vacuum
  if (state.air) low_pa = std::max(low_pa, -manifold.atmosphere_pa);
  for (int k = 0; k < kHalvings; ++k) {
    const double middle_pa = 0.5 * (low_pa + high_pa);
    (missing_m3(middle_pa) >= 0.0 ? high_pa : low_pa) = middle_pa;
  }
  const double over_pa = over_at_pa(high_pa);
  return {.pump_m3ps = pump_flow_m3ps(manifold, high_pa),
          .relief_m3ps = relief_flow_m3ps(manifold, setpoint_pa, over_pa, high_pa),
          .over_pa = over_pa};
}

void book_flows(const Manifold& manifold, const ManifoldFlows& flows, double step_s,
                double rows_volume_m3, ManifoldState& state) {
  const double relief_m3 = flows.relief_m3ps * step_s;
  const double pump_m3 = flows.pump_m3ps * step_s;
  const double out_m3 = relief_m3 + rows_volume_m3;
  state.over_pa = flows.over_pa;
  if (state.air) {
    state.gas_pam3 += pump_m3 * manifold.atmosphere_pa;
  } else {
    state.pump_volume_m3 += pump_m3;
    state.stored_m3 += pump_m3;
    state.used_m3 += pump_m3 - relief_m3;
    state.air = manifold.tank_m3 > 0.0 && state.used_m3 >= manifold.tank_m3;
  }
  if (state.air_at_row) {
    const double abs_pa = manifold.atmosphere_pa + state.pressure_pa;
    state.gas_pam3 = std::max(0.0, state.gas_pam3 - out_m3 * abs_pa);
  } else {
    state.relief_volume_m3 += relief_m3;
    state.rows_volume_m3 += rows_volume_m3;
    state.stored_m3 -= out_m3;
    state.air_at_row = state.air && state.stored_m3 <= -manifold.volume_m3;
  }
  state.pressure_pa = pressure_of_pa(manifold, state.stored_m3, state.gas_pam3);
}

}  // namespace model
