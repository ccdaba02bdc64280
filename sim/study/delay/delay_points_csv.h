// Measured points of a bench or a field: how far bands lay from their seeds at a speed, with the
// attachment delay that was in force.
//
//   speed [km/h], delay [ms], offset [mm], uncertainty [mm], row (optional)
//   offset         band less seed, positive ahead in travel direction
//   uncertainty    one standard deviation of that offset, above 0: it is the point's weight
//
// Errors   InputError as csv_table.h
// Checked  tests/sim/text/csv_table_test.cc
#pragma once

#include <filesystem>
#include <vector>

namespace sim::delay {

struct DelayPoint {
  double speed_mps = 0.0;
  double delay_s = 0.0;
  double offset_m = 0.0;
  double uncertainty_m = 0.0;
  int row = -1;  // -1: not stated
  int line = 0;  // line of the file
};

std::vector<DelayPoint> read_delay_points(const std::filesystem::path& file);

}  // namespace sim::delay
