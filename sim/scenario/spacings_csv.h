// Measured spacings from a CSV file: one per line, with the unit in the header ("spacing_mm" or
// "spacing [mm]").
//
// Errors   InputError: no unit in the header, a line that is no number, a spacing below 0 or above
//          100 m, no lines at all or nothing but zeros
// Checked  tests/sim/scenario/spacings_csv_test.cc, tests/hostile/input_test.cc
#pragma once

#include <filesystem>
#include <vector>

namespace sim::scenario {

std::vector<double> read_spacings_m(const std::filesystem::path& file);

}  // namespace sim::scenario
