// What one row's liquid path is made of, from the pump side of the hose to the ground. Plain data,
// SI, fixed for a run. All pressures are gauge except the vapour pressure, which is absolute.
//
//   supply -> hose -> seat under the plunger, lifted by the coil -> tube -> outlet orifice -> jet
//   -> furrow
//
// Checked  tests/model/row/row_unit_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "shared/units.h"

namespace model {

struct Liquid {
  double density_kgpm3 = 998.207;
  double viscosity_pas = 1.0016e-3;
  double bulk_modulus_pa = 2.1934e9;
  double vapour_pressure_abs_pa = 2339.3;
  double surface_tension_npm = 0.07274;
  double gas_ratio = 0.0;  // free gas: its volume at the atmosphere over that of the mixture
  double abrasiveness_ratio = 1.0;  // wear per volume over that of the liquid a life is for
};

/// How the line is held against its own stretching.
enum class Restraint : std::uint8_t { kJointed, kAnchored, kAnchoredUpstream };

/// The elastic wall that a wave speed is made of (model/fluid/wave_speed.h).
struct Wall {
  double thickness_m = 0.0;  // 0: the wave speed is given
  double modulus_pa = 0.0;
  double poisson_ratio = 0.45;
  Restraint restraint = Restraint::kAnchored;
};

/// One Kelvin-Voigt element of a wall that creeps: compliance J_k (1/Pa) and its time.
struct CreepElement {
  double compliance_ppa = 0.0;
  double time_s = 0.0;
};

/// One hose or tube. The wave speed comprises liquid and elastic wall.
struct Line {
  double length_m = 0.0;
  double bore_m = 0.0;
  double wave_speed_mps = 0.0;
  double rise_m = 0.0;  // its downstream end above its upstream end
  // Its friction stations stand as in a line of this length; the rest lies before the outlet.
  double layout_length_m = 0.0;  // 0: its own length
  Wall wall;
  std::vector<CreepElement> creep;  // beyond the elastic part; needs the wall
};

/// How the coil's current pulls (model/valve/coil.h, model/valve/reluctance.h,
/// model/valve/flux_table.h).
enum class ForceLaw : std::uint8_t { kLinear, kReluctance, kTable };

/// The magnetic circuit of a solenoid whose working gap the plunger closes.
struct Reluctance {
  double gap_m = 1e-3;          // at the seat, other gaps of the circuit counted in
  double leakage_h = 0.0;       // inductance of the flux that crosses no working gap
  double saturation_vs = 0.0;   // largest linkage of the working gap; 0: the iron takes no current
  double half_current_a = 0.0;  // that the iron takes at half of it
  double remanence_a = 0.0;     // current that would give the force that is left without any
  double eddy_ohm = 0.0;        // shorted turn as seen from the winding; 0: no eddy currents
};

/// Flux linkage of a solenoid as measured over lift and current.
struct LinkageTable {
  std::vector<double> lift_m;      // rising, from 0 to the travel or beyond
  std::vector<double> current_a;   // rising, from 0
  std::vector<double> linkage_vs;  // lift by lift, in the order of the currents; 0 at no current
};

struct Coil {
  double resistance_ohm = 4.0;      // at 20 C
  double inductance_h = 2e-3;       // reluctance: at the seat, at small currents, leakage with it
  double force_constant_npa = 5.0;  // also the back-EMF constant in V s/m
  double temperature_k = 293.15;    // of the winding at the start (model/valve/copper.h)
  double thermal_kpw = 0.0;         // to the ambient; 0: the temperature is held
  double thermal_time_s = 60.0;
  double ambient_k = 0.0;  // 0: the liquid's
  double clamp_v = 0.0;    // that fast decay sets against the current; 0: the supply
  double diode_v = 0.0;    // drop of the freewheel path in slow decay
  double chop_hz = 0.0;    // clock of the current limit (model/valve/chopper.h); 0: an ideal limit
  ForceLaw force_law = ForceLaw::kLinear;
  Reluctance reluctance;  // its eddy_ohm counts with the table too
  LinkageTable table;
};

struct Plunger {
  double mass_kg = 3e-3;
  double preload_n = 4.0;
  double spring_rate_npm = 2000.0;
  double damping_nspm = 0.0;
  double coulomb_friction_n = 0.0;
  double travel_m = 0.6e-3;
  double restitution_ratio = 0.2;
};

struct Seat {
  double diameter_m = 3e-3;
  double half_angle_rad = shared::kPi_ratio / 4.0;
  double discharge_coefficient_ratio = 0.65;
  double laminar_coefficient_ratio = 0.0;  // c_lam of the seat law
  double flow_force_ratio = 1.0;  // c_f: -1, 0 or 1 by the way the flow converges past the plunger
  double open_ratio = 1.0;        // share of its rim that is not plugged
};

/// What the valve has done and how long its kind lasts (model/valve/wear.h). A life of 0 is
/// unknown.
struct Wear {
  double cycles_ratio = 0.0;  // a count
  double volume_m3 = 0.0;
  double life_cycles_ratio = 0.0;
  double life_volume_m3 = 0.0;
  double gap_at_life_m = 0.0;  // radial gap of the worn pair at the end of its life
  double land_m = 1e-3;
};

struct Valve {
  Coil coil;
  Plunger plunger;
  Seat seat;
  Wear wear;
};

struct Outlet {
  double bore_m = 1e-3;
  double discharge_coefficient_ratio = 0.65;
  double laminar_coefficient_ratio = 0.0;
  double length_m = 0.0;  // of the bore; 0: the coefficients are given (model/fluid/discharge.h)
};

/// What stands in the outlet's place on a rig: laws with an exact answer (model/fluid/ideal_end.h).
enum class EndKind : std::uint8_t { kOrifice, kRoot, kLinear, kClosed, kPressure };
struct IdealEnd {
  EndKind kind = EndKind::kOrifice;  // kOrifice: the outlet itself
  double root_flow_m3ps = 0.0;       // kRoot: passes this flow at root_drop_pa
  double root_drop_pa = 0.0;
  double resistance_paspm3 = 0.0;  // kLinear
  double pressure_pa = 0.0;        // kPressure
};

/// Free gas that sits at one place of the tube, as volume at the atmosphere.
enum class GasPlace : std::uint8_t { kValveExit, kMiddle, kOutlet };
struct GasPocket {
  double volume_m3 = 0.0;
  GasPlace place = GasPlace::kValveExit;
};

struct RowUnitParams {
  Liquid liquid;
  Line hose;
  Valve valve;
  Line tube;
  Outlet outlet;
  IdealEnd end;
  GasPocket gas;
  double atmosphere_pa = shared::kStandardAtmosphere_pa;
};

enum class WallFriction : std::uint8_t { kNone, kQuasiSteady, kUnsteady };

/// fast: friction and cavities at a few stations; dense: in every cell, as the reference for the
/// fast form.
enum class LineForm { kFast, kDense };

struct SolverParams {
  LineForm form = LineForm::kFast;
  std::int64_t step_ns =
      10'000;  // the largest step; a row takes the step below it that fits both lines best
  int hose_stations = 6;
  int tube_stations = 12;
  int kernel_terms = 5;
  bool reference_valve = false;  // contacts located by Odeint in the fast form too: smooth in the
                                 // valve's values, as a fit needs it
  bool turbulence = true;        // above Re = 1000; off: laminar at any speed
  bool cavities = true;          // vapour cavities at the valve exit and at the stations
  bool outlet_void = true;       // the column may retreat from the outlet and refill it
  WallFriction friction = WallFriction::kUnsteady;
};

}  // namespace model
