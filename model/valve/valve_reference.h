// The pulse valve over one step in its reference form, against which model/valve/valve.h is
// checked.
//
//   states i (of a reluctance solenoid: its linkage), x, v and the volume through the seat:
//   L di/dt = u - R i - Kf v or the linkage's law (actuator.h), m dv/dt as in plunger.h,
//   dvolume/dt = Q(x, v)
//   Within the step both lines answer linearly, p_u - p_d = D + Zs A_s (v - v_mean) - Zs Q, so Q is
//   closed form at every instant. Odeint's Dormand-Prince pair with error control; contacts with
//   seat and stop are located events, v+ = -e v-, rest as in plunger.h; the diode's zero
//   current and the drive's limit are located events too, and hold the current from there on. With
//   a chopper the limit turns the switch off instead, and each edge of the clock ends a stretch.
//
// In, Out, State   as step_valve       Errors   ENSURES that a step ends within 1000 contacts
// Source   as valve.h
// Checked  tests/model/valve/valve_test.cc, tests/model/row/fast_against_dense_test.cc
#pragma once

#include "model/tolerance.h"
#include "model/valve/valve.h"

namespace model {

/// In A or V s, m, m/s (0.1 nm of lift) and, with the volume counted in mm3, 1e-19 m3.
inline constexpr Tolerance kReferenceTolerance = {.absolute_ratio = 1e-10, .relative_ratio = 1e-8};

/// Work and heat since they were zeroed, integrated with the states.
struct EnergyBooks {
  double terminals_j = 0.0;  // of the bridge into the winding: u i
  double copper_j = 0.0;
  double eddy_j = 0.0;
  double mechanical_j = 0.0;  // of the magnet on the plunger
};

/// `books`, where given, receives the step's work and heat; it adds states to the integrator.
NodeFlows<double> step_valve_reference(const ValvePlan<double>& plan, const Valve& valve,
                                       ValveState<double>& state, double f_pa, double g_pa,
                                       const RowStepInput& in,
                                       const Tolerance& tolerance = kReferenceTolerance,
                                       EnergyBooks* books = nullptr);

}  // namespace model
