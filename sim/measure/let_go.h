// Forgets the first seeds and bands of a row, once what is measured of them has been measured.
//
//   Places of the seeds and bands that stay count from the first of them on. Sums of the whole row
//   stay as they are.
//
// Checked  tests/sim/measure/let_go_test.cc
#pragma once

#include <cstddef>

#include "sim/measure/record.h"

namespace sim::measure {

/// The first `seeds` seeds, and the first bands as long as all of each lies behind `behind_x_m`;
/// a band without shape lies wherever the one before it lies.
void let_go(RowRecord& row, std::size_t seeds, double behind_x_m);

}  // namespace sim::measure
