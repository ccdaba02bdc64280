// Tape readings of a strip test: one line per band.
//
//   speed [km/h], row, band, offset [mm], run (optional: distinguishes two runs at one speed)
//   offset   band less its seed, positive ahead in travel direction; rows, bands and runs are the
//            numbers on the sheet. An empty offset is a band that could not be read; it is left
//            out.
//
// Errors   InputError as csv_table.h; a band that occurs twice; no band read at all
// Checked  tests/sim/text/csv_table_test.cc
#pragma once

#include <filesystem>
#include <vector>

namespace sim::delay {

struct StripReading {
  double speed_mps = 0.0;
  int run = 0;  // 0 where not stated: one run at each speed
  int row = 0;
  int band = 0;
  double offset_m = 0.0;
  int line = 0;
};

std::vector<StripReading> read_strip_readings(const std::filesystem::path& file);

}  // namespace sim::delay
