// A small outlet study on the quiet demo: few parts and two rates, so that it takes a moment.
#pragma once

#include "sim/study/outlet/outlet_study.h"
#include "tests/sim/demo_scenario.h"

namespace sim_test {

inline sim::outlet::OutletOptions small_outlet() {
  sim::outlet::OutletOptions options;
  options.axes = {.bores_m = {1.4e-3, 1.6e-3},
                  .tube_bores_m = {8e-3},
                  .tube_lengths_m = {0.3},
                  .hose_bores_m = {8e-3},
                  .hose_lengths_m = {0.2},
                  .tube_walls = {"as stated", "polyamide 12"},
                  .hose_walls = {"as stated"}};
  options.rates_hz = {30.0, 60.0};
  options.close_rates_hz = {30.0, 60.0};
  return options;
}

}  // namespace sim_test
