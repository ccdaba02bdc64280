// One row's liquid path as a whole: hose, valve, tube and outlet coupled, advanced by one step at a
// time.
//
//   step:  waves arrive at every node -> coil and plunger move under the pressures of the step
//          before -> seat flow closes hose end, plunger displacement and tube start in closed form
//          -> stations take friction (and a cavity where the pressure would fall below vapour) ->
//          outlet passes a jet or refills its void
//
// Shapes   scalars and the arrays inside the state; one row
// Errors   make_row_plan throws std::invalid_argument (a line is shorter than one cell, unphysical
//          value); step returns fault != kNone for a not-a-number, a negative
//          volume or a pressure below vapour, with the node
// Source   waves and friction: E. B. Wylie, V. L. Streeter, Fluid Transients in Systems, 1993; W.
//          Zielke, J. Basic Eng. 90, 1968
// Checked  tests/model/row/row_unit_test.cc, tests/published/
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "model/row_params.h"
#include "model/valve/bridge_step.h"

namespace model {

enum class RowFault : std::uint8_t { kNone, kNotANumber, kNegativeVolume, kBelowVapour };

/// What the row did during one step: volumes over the step, flows and pressures as its means,
/// current, lift, cavity and void at its end.
template <class Real>
struct RowStepOutputOf {
  Real inlet_volume_m3{};  // into the hose from the supply
  Real valve_volume_m3{};  // through the seat
  Real jet_volume_m3{};    // out of the outlet, >= 0
  Real jet_speed_mps{};    // of the liquid that left in this step; 0 when none did
  Real current_a{};
  Real lift_m{};
  Real valve_flow_m3ps{};
  Real outlet_flow_m3ps{};  // mean over the step
  Real hose_end_pressure_pa{};
  Real valve_exit_pressure_pa{};
  Real outlet_pressure_pa{};
  Real valve_cavity_m3{};
  Real outlet_void_m3{};
  Real linkage_vs{};  // of a reluctance solenoid
  RowFault fault = RowFault::kNone;
};
using RowStepOutput = RowStepOutputOf<double>;

struct RowPlan;   // constants of a run: delays, decay factors, impedances (model/row/row_plan.h)
struct RowState;  // everything that changes: waves in flight, memories, coil, plunger, cavities
class LaneSteps;  // several rows side by side (model/row/row_lanes.h)

/// Cells that a wave crosses in one step each: whole ones, and the part of one that is left.
struct LineCells {
  int whole = 0;
  double part_ratio = 0.0;  // 0 to below 1

  double in_cells() const { return whole + part_ratio; }
};

struct RowFit {
  std::int64_t step_ns = 0;
  LineCells hose;
  LineCells tube;
  double tube_travel_time_s = 0.0;  // L/a
};

class RowUnit {
 public:
  RowUnit(const RowUnitParams& params, const SolverParams& solver, double supply_pressure_pa);
  ~RowUnit();
  RowUnit(RowUnit&&) noexcept;
  RowUnit& operator=(RowUnit&&) noexcept;

  RowStepOutput step(const RowStepInput& input);
  /// Forgets all waves, currents and voids: liquid at rest behind a shut valve, at this pressure.
  void come_to_rest(double supply_pressure_pa);
  /// Puts another outlet in place, such as one that is plugged in part; liquid and waves go on.
  void set_outlet(const Outlet& outlet);
  /// Plugs the seat's rim: only this share of it passes liquid, 0 none.
  void set_seat_open(double open_ratio);
  /// Puts another plunger in place, such as one that rubs; lift and speed go on.
  void set_plunger(const Plunger& plunger);
  /// A leak beside the seat on top of that of a worn pair, m3/s per Pa; 0: none.
  void set_extra_leak(double leak_m3pspa);
  /// Gives the coil the resistance of another temperature; its current goes on.
  void set_coil_resistance(double resistance_ohm);
  /// Wave that arrives at the hose's inlet in the next step, and the impedance that it meets:
  /// q = (p - wave)/Z there.
  double wave_at_supply_pa() const;
  double supply_impedance_paspm3() const;
  const RowFit& fit() const;
  /// Liquid stored above a still state: elastic in both lines and creep, less cavities, pockets,
  /// void and plunger shift. inlet - jet = stored_now - stored_before to 1e-9 of throughput.
  double stored_volume_m3() const;
  /// Vapour that stands in both lines, without what stands at the valve.
  double line_vapour_m3() const;

 private:
  friend class RowLanes;

  const RowState& state() const;
  void plan_changed();
  void set_leak();

  Liquid liquid_;
  std::unique_ptr<RowPlan> plan_;
  std::unique_ptr<RowState> state_;
  // While the row steps in lanes its state stands there; this one is brought up when asked for.
  LaneSteps* lanes_ = nullptr;
  int lane_ = 0;
};

/// Steady flow of the whole chain at this lift: heads, friction, seat and outlet in series; 0 where
/// the pressure does not lift the liquid to the outlet.   Errors EXPECTS pressure >= 0
double steady_flow_m3ps(const RowUnitParams& params, double supply_pressure_pa, double lift_m);

/// Whether the current can set the lift, or the plunger snaps to its stop (model/README.md). Each
/// lift is judged at the constant current that holds the plunger there.
struct LiftVerdict {
  bool settable = false;
  // Largest sum of -d/dx of pressure plus flow force on the plunger and of the magnet's dF/dx. The
  // latter depends on the spring through the pull that it asks for: this is with the valve's own.
  double spring_rate_needed_npm = 0.0;
  double magnet_npm = 0.0;  // the magnet's part of that
  double spring_rate_npm = 0.0;
};
LiftVerdict lift_verdict(const RowUnitParams& params, double supply_pressure_pa);

}  // namespace model
