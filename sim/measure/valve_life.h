// What a pass did to the valves, and how long they last, for the row that pulsed most.
//
//   cycles, volume   the scenario's so far, plus those of the pass
//   left             at the pass's own mean dose and pulse rate (model/valve/wear.h)
//   leak             flow through the shut worn pair at the pressure of the wanted rate
//   smallest         dose that repeats at the seed rate: the shortest pulse's dose plus the leak
//
// Checked  tests/sim/measure/valve_life_test.cc
#pragma once

#include <span>

#include "model/valve/wear.h"
#include "sim/measure/record.h"
#include "sim/scenario/scenario.h"

namespace sim::measure {

struct ValveLife {
  double cycles_ratio = 0.0;
  double volume_m3 = 0.0;
  double used_ratio = statistics::kNone_ratio;  // not-a-number: not known
  model::LifeLeft left;
  double leak_m3ps = 0.0;
  double smallest_m3 = 0.0;
  double pulse_rate_hz = 0.0;  // of the seeds
};

/// Whether the scenario says anything of wear.
bool wear_stated(const scenario::Scenario& scenario);
ValveLife valve_life(std::span<const RowRecord> rows, const scenario::Scenario& scenario,
                     double pressure_pa, double shortest_dose_m3);

}  // namespace sim::measure
