#include "sim/study/tune/valve_opens.h"

#include "sim/bench/pulse_train.h"
#include "sim/bench/row_fixed.h"
#include "sim/measure/record.h"

namespace sim::tune {
namespace {

constexpr double kLongPulse_s = 40e-3;
constexpr double kOpened_ratio = 0.1;  // of the travel: above what vibration gives a shut plunger
constexpr double kHighest_v = 60.0;    // the limit of `supply.voltage`
constexpr double kStep_v = 0.1;

bool opens_at(const scenario::Scenario& scenario, double pressure_pa, double voltage_v) {
  const model::RowUnitParams row = bench::nominal_liquid_path(scenario);
  bench::PulseTrain train;
  train.pressure_pa = pressure_pa;
  train.voltage_v = voltage_v;
  train.current_limit_a = scenario.attachment.hold_current_a;
  train.jet = scenario.attachment.jet;
  train.on_time_s = kLongPulse_s;
  train.period_s = 2.0 * kLongPulse_s;
  const double lift_m = bench::run_train(row, scenario.solver, train).front().largest_lift_m;
  return lift_m > kOpened_ratio * row.valve.plunger.travel_m;
}

}  // namespace

bool valve_opens(const scenario::Scenario& scenario, double pressure_pa) {
  return scenario.row.physics == scenario::RowPhysics::kIdeal ||
         opens_at(scenario, pressure_pa, scenario.supply.voltage_v);
}

double opening_voltage_v(const scenario::Scenario& scenario, double pressure_pa) {
  if (!opens_at(scenario, pressure_pa, kHighest_v)) return statistics::kNone_ratio;
  double low_v = 0.0, high_v = kHighest_v;
  while (high_v - low_v > kStep_v) {
    const double middle_v = 0.5 * (low_v + high_v);
    (opens_at(scenario, pressure_pa, middle_v) ? high_v : low_v) = middle_v;
  }
  return high_v;
}

}  // namespace sim::tune
