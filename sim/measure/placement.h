// Bands against seeds: who belongs to whom, and by how much each band misses.
//
//   match      one to one, mutual nearest by centre, within half the theoretical spacing
//   merged     a band that covers several sensed seeds; allowed only where the gap is shorter than the valve can close
//   shared     a seed without a band of its own that lies within another seed's band
//   wrong seed spacings of bands and of seeds are correlated at lags -5..+5 seeds; lag 0 has to win in every row
//
// Input    RowRecord as a pass left it (fills its `filled by` fields)
// Errors   EXPECTS theoretical spacing > 0
// Source   README (Bands, errors, matching): this project's definitions
// Checked  tests/sim/placement_test.cc
#pragma once

#include <array>

#include "sim/measure/record.h"

namespace sim {

struct PlacementRules {
  double theoretical_spacing_m = 0.15;
  double band_length_m = 0.075;
  double commanded_dose_m3 = 0.0;
  double covered_floor_ratio = 0.95;   // of a merged seed's own +-B/2
};

void match_bands(RowRecord& row, const PlacementRules& rules);

inline constexpr int kLagMost = 5;
/// Correlation of band spacings with seed spacings at lags -5..+5 seeds; not-a-number where fewer than 8 pairs exist.
std::array<double, 2 * kLagMost + 1> lag_correlation_ratio(const RowRecord& row);
/// The lag whose correlation is largest; 0 when there are too few pairs or no irregularity to tell by.
int winning_lag_seeds(const RowRecord& row);

/// Whether a seed counts as within the tolerance: its band's |error| <= tolerance, or in a merged stretch at least 95 % of
/// its own +-B/2 is covered and the stretch's ends miss first and last seed's by at most the tolerance.
bool within_tolerance(const RowRecord& row, int seed, double tolerance_m, const PlacementRules& rules);

}  // namespace sim
