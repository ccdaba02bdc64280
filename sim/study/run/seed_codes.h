// The seeds of a row as a short text beside the plot of their errors, from which the script of a
// report shows a seed's line of seeds.csv. It costs 12 bytes for each seed.
//
// Form     digits of base 64 (A to Z, a to z, 0 to 9, + and /), the highest first; per seed 4 for
//          the edge in 0.1 ms, 3 for the error in 0.01 mm above -1310.72 mm, 2 for the length in
//          0.1 mm, 2 for the dose in 0.001 ml, 1 for the status and, above it by 8, whether it was
//          sensed. A number with every digit at its highest is not known.
// Errors   none; what exceeds its digits is not known
// Checked  tests/sim/study/run/seed_codes_test.cc
#pragma once

#include <string>

#include "sim/measure/record.h"

namespace sim::run {

std::string seed_codes(const measure::RowRecord& row);
/// The words for each status as seeds.csv writes them, by number, with a space between.
std::string seed_status_words();

}  // namespace sim::run
