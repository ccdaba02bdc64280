// Bands against seeds: who belongs to whom, and by how much each band misses.
//
//   match      one to one, mutual nearest by centre, within half the theoretical spacing, all seeds
//              placed taking part; one round only, so a band whose nearest seed prefers another
//              band is stray. Ties go to the place further behind
//   own        centre - rest of a matched band is the placement error
//   merged     the stretch reaches from B/2 behind one sensed seed to B/2 ahead of a later one:
//              first = sensed seed nearest to start + B/2, last = that nearest to end - B/2, both
//              within half the theoretical spacing and not matched to another band; first before
//              last makes it a merged stretch of all such seeds between. Else it is one band
//   lawful     merging is allowed only where the valve could not close: where bands overlap, or the
//              time between the edges less B/v less (T_lead - T_lag) is below the shortest closed
//              time. v is from edges and rest places of five seeds each side, T_lead - T_lag the
//              median of on time less B/v over the row's single bands, the slack three sd of the
//              sensor's jitter in two edges. An unlawful stretch is still merged, but none of its
//              seeds is good
//   shared     a seed without a band of its own that lies within start..end of a band that is
//              another seed's (so the second seed of a double that read as one edge)
//   stray      a band that belongs to no seed, also one without shape (all dribble, or empty)
//   wrong seed spacings of bands and of seeds are correlated at lags -5..+5 seeds; lag 0 has to win
//              in every row. lag -1: bands lie one spacing too far ahead, +1: one too far behind
//
// Input    RowRecord as a pass left it (fills its `filled by` fields)
// Cost     n log n in seeds and bands
// Errors   EXPECTS theoretical spacing > 0, band length > 0
// Source   this project's definitions, scenarios/manual/measures.md
// Checked  tests/sim/measure/placement_test.cc, tests/sim/measure/wrong_seed_test.cc
#pragma once

#include <array>
#include <limits>

#include "sim/measure/record.h"

namespace sim::measure {

struct PlacementRules {
  double theoretical_spacing_m = 0.15;
  double band_length_m = 0.075;
  double commanded_dose_m3 = 0.0;     // at rate.in_band
  double covered_floor_ratio = 0.95;  // of a merged seed's own +-B/2
  double edge_jitter_s = 0.0;         // sd of the sensor: slack of what counts as a lawful merger
};

/// The dose that was commanded for a band: that of the zone in which its opening was.
inline double commanded_dose_m3(const BandRecord& band, const PlacementRules& rules) {
  return band.set_ratio * rules.commanded_dose_m3;
}

void match_bands(RowRecord& row, const PlacementRules& rules);

inline constexpr int kLagMost = 5;
/// Correlation of band spacings with seed spacings at lags -5..+5 seeds (index lag + 5): spacing k
/// is that between the seeds k and k + 1 in order of rest place, of bands where both have a band of
/// their own; pairs are band spacing k with seed spacing k + lag. Not-a-number where fewer than 8
/// pairs exist, 0 where one side is regular to a nanometre.
std::array<double, 2 * kLagMost + 1> lag_correlation_ratio(const RowRecord& row);
/// The lag whose correlation is largest; 0 when there are too few pairs, on a tie, or when chance
/// explains the lead over lag 0: Fisher's z of the two differs by less than 4 standard errors. So a
/// row of regular seeds never shows a lag: nothing in it distinguishes one seed from the next.
int winning_lag_seeds(const RowRecord& row);

/// The sums behind the correlations, so that a row may be taken in stretches one after the other.
struct LagSums {
  struct Pairs {
    long long count = 0;
    double mean_band_m = 0.0, mean_seed_m = 0.0;
    double band_m2 = 0.0, seed_m2 = 0.0, both_m2 = 0.0;  // sums of products of differences
  };
  std::array<Pairs, 2 * kLagMost + 1> lags;
  /// Takes the pairs whose band spacing begins at a seed at rest from `from_x_m` up to but without
  /// `to_x_m`; the row has at least kLagMost + 1 seeds more to either side, as far as there are
  /// any.
  void take(const RowRecord& row, double from_x_m, double to_x_m);
};
int winning_lag_seeds(const LagSums& sums);

/// Whether a seed counts as within the tolerance: its own band's |error| <= tolerance (weak or not:
/// dose is judged by itself), or in a lawfully merged stretch at least covered_floor of its own
/// +-B/2 is covered and the stretch's ends miss those of first and last seed by at most the
/// tolerance.
bool within_tolerance(const RowRecord& row, int seed, double tolerance_m,
                      const PlacementRules& rules);

/// Misses of a merged stretch's ends: start less first seed's -B/2, end less last seed's +B/2.
struct EndMisses {
  double start_m = statistics::kNone_ratio;
  double end_m = statistics::kNone_ratio;
};
EndMisses stretch_end_misses(const RowRecord& row, const BandRecord& band, double band_length_m);

}  // namespace sim::measure
