// The summary of rows that come in stretches and are not kept: memory does not grow with their
// length. Its figures are those of summary.h.
//
//   exact     counts, shares, means, sd, largest values, volumes, spacings, lags, witnesses
//   in cells  quantiles of placement error and band length to half of 10 um, of on-target shares to
//             half of 1e-4, and the break-even, whose errors stand in the middle of such cells
//   Whether a merged stretch was lawful is judged by the single bands of its own stretch of row,
//   not by those of the whole row.
//   Requirements over time need the signals of the whole row: it does not know them.
//
// Input    stretches of each row in order of place, after match_bands, with enough seeds and bands
//          around them that these would not match otherwise in the whole row
// Errors   as summary.h
// Checked  tests/sim/measure/summary_parts_test.cc
#pragma once

#include <span>
#include <vector>

#include "sim/measure/placement.h"
#include "sim/measure/spacing.h"
#include "sim/measure/summary.h"
#include "sim/measure/witness.h"
#include "sim/statistics/running.h"

namespace sim::measure {

inline constexpr double kErrorCell_m = 10e-6;
inline constexpr double kOnTargetCell_ratio = 1e-4;

/// A stretch of a row: which of its seeds and bands count here. Indices are those of the record.
struct StretchOfRow {
  int row = 0;
  std::size_t first_seed = 0, last_seed = 0;  // without the last
  std::size_t first_band = 0, last_band = 0;
  double from_x_m = 0.0, to_x_m = 0.0;  // spacings that begin here, without the end
};

class SummaryInParts {
 public:
  SummaryInParts(const scenario::Scenario& scenario, std::size_t rows);

  void take(const RowRecord& row, const StretchOfRow& stretch);
  /// `rows` at the end, for the sums that they hold of the whole.
  Summary finish(std::span<const RowRecord> rows, double simulated_s) const;
  long long seeds() const;

 private:
  struct Sums {
    SeedCounts seeds;
    long long stray_bands = 0;
    long long good[3] = {}, good_sensed[3] = {};  // within each tolerance
    statistics::CountedSpread error{kErrorCell_m, 1.0};
    statistics::CountedSpread length{kErrorCell_m, 10.0};
    statistics::CountedSpread on_target{kOnTargetCell_ratio, 1.0};
    statistics::CountedSpread break_even{kErrorCell_m, 1.0};
    statistics::Moments dose, secondary;
    long long own_sensed = 0, dose_good = 0, length_good = 0;
    SpacingSums spacings;
    LagSums lags;
    void take(const Sums& other);
  };
  void take_seed(const RowRecord& row, std::size_t seed, Sums& sums) const;
  void take_own_band(const RowRecord& row, const SeedRecord& seed, Sums& sums) const;
  Figures figures_of(const Sums& sums, std::span<const RowRecord> rows) const;
  void add_bounds(Figures& all) const;

  scenario::Scenario scenario_;
  PlacementRules rules_;
  double tolerances_m_[3];
  std::vector<Sums> rows_;
  std::vector<WitnessSearch> witnesses_;  // by requirement
};

}  // namespace sim::measure
