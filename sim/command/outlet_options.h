// The lists of `outlet` as a person writes them: "1.2 mm, 1.4 mm", "as stated, polyamide 12".
//
// Errors   InputError: option, what is wrong with its value, range or nearest valid name
// Checked  tests/sim/command/outlet_options_test.cc
#pragma once

#include <string>

#include "sim/study/outlet/outlet_study.h"

namespace sim::command {

struct OutletWords {
  std::string bores, tube_bores, tube_lengths, hose_bores, hose_lengths, walls, hose_walls;
  std::string strainer;  // mesh
  std::string stop;      // time without pulses
  std::string pause;
};

outlet::OutletOptions outlet_options(const OutletWords& words);

}  // namespace sim::command
