// Small rows written by hand, for the tests of what is measured.
#pragma once

#include <vector>

#include "sim/measure/placement.h"
#include "sim/measure/record.h"

namespace measure_rows {

inline constexpr double kSpeed_mps = 4.0;
inline constexpr double kSpacing_m = 0.16;
inline constexpr double kBand_m = 0.08;
inline constexpr double kDose_m3 = 0.2e-6;

inline sim::measure::PlacementRules rules() {
  sim::measure::PlacementRules r;
  r.theoretical_spacing_m = kSpacing_m;
  r.band_length_m = kBand_m;
  r.commanded_dose_m3 = kDose_m3;
  return r;
}

inline void add_seed(sim::measure::RowRecord& row, double rest_x_ground_m, bool sensed = true) {
  sim::measure::SeedRecord seed;
  seed.rest_x_ground_m = rest_x_ground_m;
  seed.edge_s = (rest_x_ground_m + 1.0) / kSpeed_mps;
  seed.sensed = sensed;
  row.seeds.push_back(seed);
}

/// An even band from start to end; the dose grows with its length.
inline sim::measure::BandRecord& add_band(sim::measure::RowRecord& row, double start_m,
                                          double end_m) {
  sim::measure::BandRecord band;
  band.start_x_ground_m = start_m;
  band.end_x_ground_m = end_m;
  band.centre_x_ground_m = 0.5 * (start_m + end_m);
  band.open_s = (start_m + 1.2) / kSpeed_mps;
  band.close_s = (end_m + 1.2) / kSpeed_mps;
  band.dose_m3 = kDose_m3 * (end_m - start_m) / kBand_m;
  row.bands.push_back(band);
  return row.bands.back();
}

/// An ordinary band with its centre at centre_m.
inline sim::measure::BandRecord& add_band_at(sim::measure::RowRecord& row, double centre_m) {
  return add_band(row, centre_m - 0.5 * kBand_m, centre_m + 0.5 * kBand_m);
}

/// Notes how much of a seed's own stretch the band covers; to be called after the band is added.
inline void cover(sim::measure::RowRecord& row, int band, int seed, double covered_ratio) {
  sim::measure::BandRecord& record = row.bands[static_cast<std::size_t>(band)];
  if (record.covered_count == 0) record.first_covered = static_cast<int>(row.covered.size());
  ++record.covered_count;
  row.covered.push_back({seed, covered_ratio});
}

/// Spacings without a pattern, from 70 to 130 % of the theoretical one: k multiplied by an
/// irrational number, fractions of it (Weyl).
inline std::vector<double> irregular_places_m(int seeds) {
  std::vector<double> places_m{0.0};
  double phase = 0.0;
  for (int k = 1; k < seeds; ++k) {
    phase += 0.6180339887498949 * static_cast<double>(k);
    phase -= static_cast<double>(static_cast<long long>(phase));
    places_m.push_back(places_m.back() + kSpacing_m * (0.7 + 0.6 * phase));
  }
  return places_m;
}

}  // namespace measure_rows
