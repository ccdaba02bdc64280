// The row's physics as ordinary differential equations, stepped by a general integrator: a
// reference that shares no discretisation with model/fluid. The bench compares its cost, the tests
// compare its bands.
//
//   staggered grid: pressures at n + 1 nodes (the end nodes with half a cell's capacity), flows in
//   the n cells between
//   dp/dt = (rho a^2 / (A dx)) (q_left - q_right)
//   dq/dt = (A / (rho dx)) (p_left - p_right) - (A / rho) (R q + w),    R = 8 mu / (A r^2)
//   w = (4 mu / (A r^2)) sum z_k,    dz_k/dt = -n_k (nu / r^2) z_k + m_k dq/dt
//   seat and outlet are explicit functions of the node pressures beside them; a node whose pressure
//   would fall below the vapour's (outlet: below zero gauge) holds that pressure, and its missing
//   volume is the cavity (the void)
//
// Stepping Odeint runge_kutta_dopri5 with error control and dense output. Instants at which the
//          equations change (seat, stop, lift-off, current back at zero) are located by bisection
//          on the dense output, then the integration starts anew.
// Kernel   published 10-term set unless another is given; terms faster than the grid can carry act
//          as added inertia, 4 m/n each, which is their exact slow limit
// Cost     the step is bounded by stiffness, not by tolerance: an open seat empties the half cells
//          beside it within 0.7 us in the base case, so steps of 2 to 4 us
// Friction Coulomb: against the motion; a plunger at rest leaves only when the net force exceeds it
// Decay    fast: the supply against the current until it is zero; slow: 0 V through a diode
// Valid    no free gas at the valve exit, no current limit
// Errors   EXPECTS what Valid says
// Source   second-order staggered differences, any textbook of acoustics; kernel: J. Vitkovsky,
//          M. Stephens, A. Bergant, M. Lambert, A. Simpson, Pressure Surges 2004
// Checked  tests/model/row/method_of_lines_test.cc
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "model/fluid/wall_friction.h"
#include "model/furrow/deposit.h"
#include "model/furrow/outlet_jet.h"
#include "model/row_params.h"

namespace support {

struct LinesSetup {
  int hose_cells = 50;
  int tube_cells = 50;
  double tolerance_ratio =
      1e-6;  // absolute and relative, in the units of the state (bar, ml/s, A, mm, m/s, ul)
  double root_smoothing_pa = 10.0;  // the root law is straight below about this pressure difference
  std::span<const model::KernelTerm> kernel = {};  // empty: the published 10-term set
  double fastest_memory_ps = 1e5;                  // memory terms that decay faster become inertia
  double rest_speed_mps = 1e-3;  // a rebound slower than this stays on seat or stop
  bool slow_decay = false;
  double force_lag_s = 0.0;  // the current that pulls lags the coil's: eddy currents, first order
  double sample_every_s = 0.0;  // 0: the trace has one entry per step
};

struct OnOff {
  double on_s = 0.0;
  double off_s = 0.0;
};

/// What left the outlet within one step of either solver.
struct OutletSample {
  double time_s = 0.0;  // middle of the step
  double volume_m3 = 0.0;
  double jet_speed_mps = 0.0;
};

struct LinesTrace {
  double time_s = 0.0;
  double current_a = 0.0;
  double lift_m = 0.0;
  double valve_exit_pressure_pa = 0.0;
  double outlet_flow_m3ps = 0.0;
  double speed_mps = 0.0;
  double coil_v = 0.0;  // at the terminals
  double hose_end_pressure_pa = 0.0;
  double jet_volume_m3 = 0.0;  // so far
};

enum class PlungerEvent : std::uint8_t { kLeftSeat, kHitStop, kLeftStop, kHitSeat };
struct LinesEvent {
  double time_s = 0.0;
  PlungerEvent kind = PlungerEvent::kLeftSeat;
};

struct LinesRun {
  std::vector<OutletSample> outlet;
  std::vector<LinesTrace> trace;  // one entry per step or sample; empty unless asked for
  std::vector<LinesEvent> events;
  double inlet_volume_m3 = 0.0;
  double jet_volume_m3 = 0.0;
  double stored_volume_m3 = 0.0;  // at the end, above still liquid at zero gauge
  double stored_before_m3 = 0.0;
  std::int64_t steps = 0;
  std::int64_t evaluations = 0;
};

/// From still liquid (hose at supply pressure, tube at zero gauge, valve shut) through the pulses
/// to end_s.
LinesRun run_method_of_lines(const model::RowUnitParams& row, double supply_pressure_pa,
                             double supply_voltage_v, std::span<const OnOff> pulses, double end_s,
                             const LinesSetup& setup, bool with_trace = false);

/// The band of the liquid that left between two instants, at steady ground speed; x = 0 is the
/// outlet's place at time zero.
model::BandShape band_of(std::span<const OutletSample> outlet, const model::RowUnitParams& row,
                         double from_s, double to_s, double ground_speed_mps,
                         const model::JetAim& aim);

}  // namespace support
