// All numbers of a row's plan and state, one after the other: how rows go into lanes and back.
//
//   real    one number per row: each lane has its own
//   reals   several of them
//   whole   counts and switches in which rows side by side have to agree
//   own_whole, longest    counts of each row; of `longest` lanes keep the largest
//   flag, flags    masks
//
// A visitor is called in the same order for a row (double) and for lanes. What is not visited is
// listed where it is left out. The structured bindings name every field: a field that is added to
// one of these structures and not here does not compile.
// Errors   none
// Checked  tests/model/row/row_lanes_test.cc
#pragma once

#include "model/row/row_step.h"

namespace model {

template <class Real, class Visitor>
void visit(BridgeEndsOf<Real>& ends, Visitor& visitor) {
  auto& [clamp_v, diode_v, chop_s] = ends;
  visitor.real(clamp_v), visitor.real(diode_v), visitor.real(chop_s);
}

template <class Real, class Visitor>
void visit(CoilPlan<Real>& plan, Visitor& visitor) {
  auto& [inverse_a_pv, constant_npa, decay_ratio, time_s, ends] = plan;
  visitor.real(inverse_a_pv), visitor.real(constant_npa), visitor.real(decay_ratio);
  visitor.real(time_s), visit(ends, visitor);
}

template <class Real, class Visitor>
void visit(ReluctancePlan<Real>& plan, Visitor& visitor) {
  auto& [gap_m, per_henry_metre_aptm, leakage_h, saturation_vs, half_a, remanence_a, eddy_siemens] =
      plan;
  visitor.real(gap_m), visitor.real(per_henry_metre_aptm), visitor.real(leakage_h);
  visitor.real(saturation_vs), visitor.real(half_a), visitor.real(remanence_a);
  visitor.real(eddy_siemens);
}

/// Without the measured table: rows that have one do not stand in lanes.
template <class Real, class Visitor>
void visit(ActuatorPlan<Real>& plan, Visitor& visitor) {
  auto& [iron, table, step_s, resistance_ohm, ends, by_linkage, by_table] = plan;
  (void)table;
  visit(iron, visitor), visitor.real(step_s), visitor.real(resistance_ohm), visit(ends, visitor);
  visitor.whole(by_linkage), visitor.whole(by_table);
}

template <class Real, class Visitor>
void visit(PlungerPlan<Real>& plan, Visitor& visitor) {
  auto& [step_s, per_step_ps, step_over_mass_spkg, preload_n, spring_npm, keeps_ratio, slows_ratio,
         friction_mps, travel_m, restitution_ratio] = plan;
  visitor.real(step_s), visitor.real(per_step_ps), visitor.real(step_over_mass_spkg);
  visitor.real(preload_n), visitor.real(spring_npm), visitor.real(keeps_ratio);
  visitor.real(slows_ratio), visitor.real(friction_mps), visitor.real(travel_m);
  visitor.real(restitution_ratio);
}

template <class Real, class Visitor>
void visit(SeatPlan<Real>& plan, Visitor& visitor) {
  auto& [rim_m, loss_kgpm3, half_laminar_pas, most_lift_m, area_m2, force_rim_m, leak_m3pspa] =
      plan;
  visitor.real(rim_m), visitor.real(loss_kgpm3), visitor.real(half_laminar_pas);
  visitor.real(most_lift_m), visitor.real(area_m2), visitor.real(force_rim_m);
  visitor.real(leak_m3pspa);
}

template <class Real, class Visitor>
void visit(NodePlan<Real>& plan, Visitor& visitor) {
  auto& [hose_paspm3, tube_paspm3, sum_paspm3, over_hose_m3ppa, over_tube_m3ppa, step_s,
         per_step_ps, hose_vapour_pa, tube_vapour_pa, gas_pam3, gas] = plan;
  visitor.real(hose_paspm3), visitor.real(tube_paspm3), visitor.real(sum_paspm3);
  visitor.real(over_hose_m3ppa), visitor.real(over_tube_m3ppa), visitor.real(step_s);
  visitor.real(per_step_ps), visitor.real(hose_vapour_pa), visitor.real(tube_vapour_pa);
  visitor.real(gas_pam3), visitor.whole(gas);
}

template <class Real, class Visitor>
void visit(ValvePlan<Real>& plan, Visitor& visitor) {
  auto& [coil, actuator, plunger, seat, node] = plan;
  visit(coil, visitor), visit(actuator, visitor), visit(plunger, visitor);
  visit(seat, visitor), visit(node, visitor);
}

template <class Real, class Visitor>
void visit(OutletPlan<Real>& plan, Visitor& visitor) {
  auto& [loss_pas2pm6, laminar_paspm3, inverse_jet_area_pm2, behind_pa] = plan;
  visitor.real(loss_pas2pm6), visitor.real(laminar_paspm3), visitor.real(inverse_jet_area_pm2);
  visitor.real(behind_pa);
}

template <class Real, class Visitor>
void visit(OutletStep<Real>& plan, Visitor& visitor) {
  auto& [impedance_paspm3, step_over_impedance_m3ppa, step_s, per_step_ps] = plan;
  visitor.real(impedance_paspm3), visitor.real(step_over_impedance_m3ppa);
  visitor.real(step_s), visitor.real(per_step_ps);
}

template <class Real, class Visitor>
void visit(OutletPocket<Real>& plan, Visitor& visitor) {
  auto& [gas, pam3, vapour_pa, still_m3] = plan;
  visitor.whole(gas), visitor.real(pam3), visitor.real(vapour_pa), visitor.real(still_m3);
}

template <class Real, class Visitor>
void visit(CreepStep<Real>& step, Visitor& visitor) {
  auto& [keep_less_one_ratio, before_m3ppa, now_m3ppa, rest_m3ppa] = step;
  visitor.real(keep_less_one_ratio), visitor.real(before_m3ppa), visitor.real(now_m3ppa);
  visitor.real(rest_m3ppa);
}

/// Without the kernels and the lengths in cells, of which lanes have no use: they step by delays.
template <class Real, class Visitor>
void visit(LinePlan<Real>& plan, Visitor& visitor) {
  auto& [cells, stations, terms, inlet_delay, middle_delay, outlet_delay, inlet_offset,
         outlet_offset, outlet_cells, part_cell_ratio, longest_delay, row_mask, stride, step_s,
         wave_speed_mps, impedance_paspm3, step_over_impedance_m3ppa, half_per_step_ps, vapour_pa,
         inlet_head_pa, outlet_head_pa, cell_head_pa, boils_below_pa, length_cells, inverse_m3pspa,
         memory_paspm3, weight_ratio, boil_pa, first_boil_pa, watches, kernels, before_ratio,
         after_ratio, decay_ratio, gain_paspm3, stirred_m6ps2, reynolds_spm3, stir_pa, dtau_ratio,
         sides, clips, creep, pocket_station, pocket_pam3, liquid_vapour_pa] = plan;
  (void)length_cells, (void)kernels, (void)cells;
  for (int* count :
       {&stations, &terms, &inlet_delay, &middle_delay, &inlet_offset, &pocket_station})
    visitor.whole(*count);
  visitor.longest(outlet_delay), visitor.own_whole(outlet_offset);
  for (std::size_t* count : {&longest_delay, &row_mask, &stride}) visitor.whole(*count);
  for (bool* on : {&watches, &sides, &clips}) visitor.whole(*on);
  for (Real* number :
       {&step_s, &wave_speed_mps, &impedance_paspm3, &step_over_impedance_m3ppa, &half_per_step_ps,
        &outlet_cells, &part_cell_ratio, &vapour_pa, &inlet_head_pa, &outlet_head_pa, &cell_head_pa,
        &boils_below_pa, &stirred_m6ps2, &reynolds_spm3, &stir_pa, &dtau_ratio, &pocket_pam3,
        &liquid_vapour_pa})
    visitor.real(*number);
  for (auto* numbers : {&inverse_m3pspa, &memory_paspm3, &weight_ratio, &boil_pa, &first_boil_pa,
                        &before_ratio, &after_ratio, &decay_ratio, &gain_paspm3})
    visitor.reals(*numbers);
  visitor.resize(creep);
  for (CreepStep<Real>& step : creep) visit(step, visitor);
}

template <class Real, class Visitor>
void visit(RowPlanOf<Real>& plan, Visitor& visitor) {
  auto& [hose, tube, valve, outlet, outlet_step, outlet_pocket, step_s, lowest_pa, outlet_void] =
      plan;
  visit(hose, visitor), visit(tube, visitor), visit(valve, visitor), visit(outlet, visitor);
  visit(outlet_step, visitor), visit(outlet_pocket, visitor), visitor.real(step_s);
  visitor.real(lowest_pa), visitor.whole(outlet_void);
}

/// Without `holding`, which sums up the flags `holds`.
template <class Real, class Visitor>
void visit(LineState<Real>& state, Visitor& visitor) {
  auto& [step, downstream_pa, upstream_pa, memory_pa, memory_sum_pa, flow_m3ps, cavity_m3, drop_pa,
         creep_m3, creep_pressure_pa, boil_pa, pocket_m3, stirring, between_m3, f_lowest_pa,
         g_lowest_pa, f_lowest_before_pa, g_lowest_before_pa, outlet_f_before_pa,
         outlet_g_before_pa, holds, holding, block_steps] = state;
  (void)holding;
  visitor.whole(step), visitor.whole(block_steps);
  for (auto* numbers : {&downstream_pa, &upstream_pa, &memory_pa, &memory_sum_pa, &flow_m3ps,
                        &cavity_m3, &drop_pa, &creep_m3, &creep_pressure_pa, &boil_pa, &between_m3,
                        &f_lowest_pa, &g_lowest_pa, &f_lowest_before_pa, &g_lowest_before_pa})
    visitor.reals(*numbers);
  visitor.real(outlet_f_before_pa), visitor.real(outlet_g_before_pa);
  visitor.real(pocket_m3), visitor.flag(stirring), visitor.flags(holds);
}

template <class Real, class Visitor>
void visit(ValveState<Real>& state, Visitor& visitor) {
  auto& [current_a, linkage_vs, chopper, plunger, pockets] = state;
  auto& [since_s, off_ratio, runs_ratio] = chopper;
  auto& [lift_m, speed_mps, acceleration_mps2] = plunger;
  auto& [hose_m3, tube_m3] = pockets;
  for (Real* number : {&current_a, &linkage_vs, &since_s, &off_ratio, &runs_ratio, &lift_m,
                       &speed_mps, &acceleration_mps2, &hose_m3, &tube_m3})
    visitor.real(*number);
}

template <class Real, class Visitor>
void visit(RowStateOf<Real>& state, Visitor& visitor) {
  auto& [hose, tube, valve, void_m3, outlet_pocket_m3] = state;
  visit(hose, visitor), visit(tube, visitor), visit(valve, visitor);
  visitor.real(void_m3), visitor.real(outlet_pocket_m3);
}

}  // namespace model
