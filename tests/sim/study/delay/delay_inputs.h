// Inputs of delay studies for tests: an ideal row, so that nothing but the delay law is at work.
#pragma once

#include "sim/study/delay/delay_plan.h"
#include "tests/sim/demo_scenario.h"

namespace sim_test {

inline sim::delay::DelayInputs ideal_inputs(const std::vector<std::string>& more = {}) {
  std::vector<std::string> sets = {"row.physics=ideal",
                                   "row.opening_delay=\"3 ms\"",
                                   "row.closing_delay=\"2 ms\"",
                                   "row.flight_time=\"5 ms\"",
                                   "tuning.speeds=4",
                                   "tuning.rates=2",
                                   "tuning.seeds=80",
                                   "row.count=4",
                                   "controller.strip_test_bands=20"};
  sets.insert(sets.end(), more.begin(), more.end());
  sim::delay::DelayInputs inputs;
  inputs.scenario = quiet_demo(sets);
  const model::Liquid liquid = inputs.scenario.liquid.liquid;
  inputs.liquid_at = [liquid](double) { return liquid; };
  return inputs;
}

}  // namespace sim_test
