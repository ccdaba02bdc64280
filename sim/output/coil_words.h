// Which force law a valve's solenoid has, key by key, as every report shows it.
//
//   Keys that are 0 and so count for nothing are left out; the first row is the law.
//
// Errors   none
// Checked  tests/sim/output/coil_words_test.cc
#pragma once

#include <string>
#include <vector>

#include "model/row_params.h"
#include "sim/output/shown_units.h"

namespace sim::output {

struct CoilKey {
  std::string key;    // below `valve.coil.`
  std::string value;  // with its unit
};

std::vector<CoilKey> coil_keys(const model::Coil& coil, Units units);
/// "force_law reluctance, inductance 8 mH, gap 1.3 mm": the same on one line.
std::string coil_line(const model::Coil& coil, Units units);

}  // namespace sim::output
