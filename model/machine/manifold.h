// What feeds the rows' hoses: tank, pump, relief valve and the manifold that they meet in.
//
//   pump      linear    Q = Q0 (1 - p/p0)      a worn gear or diaphragm pump: slip grows with p
//             parabola  p = p0 (1 - (Q/Q0)^2)  a centrifugal pump
//             Q0 where p <= 0, no flow back where p >= p0
//   relief    opens above its set pressure: lag de/dt = max(0, p - p_set) - e,
//             Q = (Q0/override) e sqrt(p/p_set): passes Q0 at the pressure override (p_set above
//             1 kPa)
//   manifold  stored S = C p - V_gas above zero gauge, C = V/K:  dS/dt = Q_pump - Q_relief - Q_rows
//             One exchange step is implicit in p: C (p1 - p0) = h (Q_pump(p1) - Q_relief(p1) - Q_r)
//             with the rows' flow of the step before: one monotone equation, stable at any C. Then
//             the flows are booked, the rows' as really drawn, so volume closes to rounding.
//   rows      Between exchanges each hose draws from its own share C/N of the manifold, fed with
//             the pump's share, and the shares are levelled at each exchange. So a step cannot feed
//             the hoses' own resonance: levelling only takes energy out. A row that opens alone
//             sags N times as deep for one exchange. h must be well below C Z/N, the time in which
//             N hoses empty the manifold.
//   tank      What is delivered less what is relieved (its return line) empties it. From then on
//             the pump delivers air: gas A = p_abs V_gas grows by p_atm Q, isothermal, on top of
//             the liquid, until the manifold's liquid is used up; then the rows draw gas:
//             dA = -p_abs Q
//   row step  p = (p_s + dt/C (s + G/Z))/(1 + dt m/(C Z)): share and hose are solved in one step;
//             the hose meets the pressure m p, with m made by sag and ripple
//
// In       set pressure, h, flow that the rows drew       Out   flows of the step, pressure
// State    ManifoldState, the caller's
// Errors   EXPECTS h > 0, C > 0, pump and override > 0
// Valid    one pressure in the whole manifold, lines to it without loss and inertia; liquid and air
//          lie apart; the relief shuts by the law by which it opens; no vapour in the manifold (its
//          pressure may swing below the atmosphere where C is far smaller than the hoses')
// Source   continuity; pump and relief laws as fluid-power handbooks have them (pressure override)
// Checked  tests/model/machine/manifold_test.cc
#pragma once

#include <cstdint>

namespace model {

enum class PumpCurve : std::uint8_t { kLinear, kParabola };

struct Manifold {
  double pump_m3ps = 0.0;  // at zero pressure; 0: no manifold, the regulator holds the pressure
  double pump_pa = 10e5;   // at no flow
  PumpCurve curve = PumpCurve::kLinear;
  double override_pa = 0.5e5;  // over its set pressure the relief passes the pump's whole flow
  double relief_lag_s = 0.02;
  double volume_m3 = 2e-3;
  double modulus_pa = 2e7;  // liquid, wall and trapped air together
  double tank_m3 = 0.0;     // 0: never empty
  double atmosphere_pa = 101325.0;
};

struct ManifoldState {
  double pressure_pa = 0.0;
  double over_pa = 0.0;  // e: pressure over the set pressure that the relief's opening follows
  double stored_m3 = 0.0;
  double gas_pam3 = 0.0;    // A
  double used_m3 = 0.0;     // out of the tank, for good
  bool air = false;         // the pump delivers air
  bool air_at_row = false;  // the hoses draw air
  // what has flowed, for the balance: liquid alone
  double pump_volume_m3 = 0.0;
  double relief_volume_m3 = 0.0;
  double rows_volume_m3 = 0.0;
};

/// Flows of one exchange step, constant through it.
struct ManifoldFlows {
  double pump_m3ps = 0.0;  // of liquid, or of air at the atmosphere
  double relief_m3ps = 0.0;
  double over_pa = 0.0;  // at the step's end
};

double pump_flow_m3ps(const Manifold& manifold, double pressure_pa);
double relief_flow_m3ps(const Manifold& manifold, double setpoint_pa, double over_pa,
                        double pressure_pa);
/// dV/dp of manifold and gas.
double compliance_m3ppa(const Manifold& manifold, const ManifoldState& state);
ManifoldState filled_manifold(const Manifold& manifold, double pressure_pa);
/// Pump and relief over the next step; rows_m3ps is what all rows drew in the last step.
ManifoldFlows plan_flows(const Manifold& manifold, const ManifoldState& state, double setpoint_pa,
                         double step_s, double rows_m3ps);
/// Books what flowed: pump and relief as planned, the rows what they drew.
void book_flows(const Manifold& manifold, const ManifoldFlows& flows, double step_s,
                double rows_volume_m3, ManifoldState& state);

/// A row's share of the manifold within an exchange step.
struct ManifoldShare {
  double pressure_pa = 0.0;
  double fed_m3ps = 0.0;
  double compliance_m3ppa = 0.0;

  /// Smooth pressure at the end of the next row step; the hose meets met_ratio times this pressure.
  double next_pa(double step_s, double wave_pa, double impedance_paspm3, double met_ratio) const {
    const double per_ppa = step_s / compliance_m3ppa;
    return (pressure_pa + per_ppa * (fed_m3ps + wave_pa / impedance_paspm3)) /
           (1.0 + per_ppa * met_ratio / impedance_paspm3);
  }
};

}  // namespace model
