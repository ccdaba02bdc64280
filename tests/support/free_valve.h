// A valve between two lines that hardly answer, so that the plunger moves by coil and spring alone.
#pragma once

#include "model/valve/valve_reference.h"

namespace support {

inline model::ValvePlan<double> free_plan(const model::Valve& valve, double step_s) {
  model::ValvePlan<double> plan;
  plan.coil = model::make_coil_plan(valve.coil, step_s);
  plan.actuator = model::make_actuator_plan(valve.coil, step_s);
  plan.plunger = model::make_plunger_plan(valve.plunger, step_s);
  plan.seat = model::make_seat_plan(valve.seat, model::Liquid{});
  plan.node = {.hose_paspm3 = 1.0,
               .tube_paspm3 = 1.0,
               .sum_paspm3 = 2.0,
               .step_over_hose_m3ppa = step_s,
               .step_over_tube_m3ppa = step_s,
               .step_s = step_s,
               .per_step_ps = 1.0 / step_s,
               .hose_vapour_pa = -1e300,
               .tube_vapour_pa = -1e300};
  return plan;
}

inline model::RowStepInput bridge_of(double drive_ratio, double fast_ratio, double limit_a = 0.0) {
  return {.supply_voltage_v = 12.0,
          .current_limit_a = limit_a,
          .drive_ratio = drive_ratio,
          .fast_decay_ratio = fast_ratio};
}

/// A table of linkage as an iron circuit would be measured: exact samples of its law.
inline model::LinkageTable sampled_table(const model::Coil& iron, double travel_m, int lifts,
                                         double most_a, int currents) {
  const auto plan = model::make_reluctance_plan(iron);
  model::LinkageTable table;
  for (int k = 0; k < lifts; ++k) table.lift_m.push_back(travel_m * k / (lifts - 1));
  for (int l = 0; l < currents; ++l) table.current_a.push_back(most_a * l / (currents - 1));
  for (const double lift_m : table.lift_m)
    for (const double current_a : table.current_a)
      table.linkage_vs.push_back(model::linkage_of_current_vs(plan, current_a, lift_m));
  return table;
}

}  // namespace support
