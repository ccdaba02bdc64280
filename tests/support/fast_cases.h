// The rows and pulses on which the fast form is compared with the dense one, and the bands that
// they lay at 16 km/h with the jet's flight included.
//
//   base case of the design notes, tube 0.9 m x 4 mm with outlet 1.0 mm at 3 bar, and tube 0.3 m x
//   8 mm with outlet 1.7 mm at 5 bar; hose 0.3 and 1.0 m; water, 10 and 60 mPa s; one pulse and the
//   fourth of a 30 Hz train, 16.9 ms each; 20 mm bands at 45 Hz (fifth) and 90 Hz (eighth pulse)
//
// Errors   as drive_row      Checked   tests/model/row/fast_against_dense_test.cc
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "tests/support/drive_row.h"

namespace support {

struct BandCase {
  std::string name;
  model::RowUnitParams row;
  double supply_pressure_pa = 0.0;
  double rate_hz = 0.0;
  double on_s = 0.0;
  int pulses = 0;
  bool short_band = false;
};

/// The dense form at that step, with which the fast form is compared.
model::SolverParams dense_at(std::int64_t step_ns);

/// The worst differences over many cases: of start, end and centre for each kind of band, and of
/// the dose of all but the short bands.
struct WorstBand {
  double long_m = 0.0;
  double short_m = 0.0;
  double dose_ratio = 0.0;
  void take(const BandCase& one, const model::BandShape& found, const model::BandShape& exact);
};

/// Tube 0.3 m x 8 mm, outlet 1.7 mm, 1300 kg/m3, 10 mPa s; hose and valve of the base case.
model::RowUnitParams wide_row();
std::vector<BandCase> band_cases();
/// The band of the last pulse: the liquid that leaves from 0.9 L/a after its command to 0.9 L/a
/// after the next.
model::BandShape last_band(const BandCase& band_case, const model::SolverParams& solver);

}  // namespace support
