// The seed that a metric is worst at: where a person looks first when a requirement is violated.
//
//   shares, breaks  a sensed seed without a good band comes before the largest |placement error|
//   placement       largest |placement error| of a band of its own
//   dose, length    largest distance from the commanded value
//   on target       least share
//   counts          the first seed (or stray band) that is counted
//
// Errors   none; row -1 where the metric is not of seeds
// Checked  tests/sim/measure/witness_test.cc
#pragma once

#include <functional>
#include <span>
#include <string_view>

#include "sim/measure/placement.h"
#include "sim/measure/record.h"

namespace sim::measure {

struct Witness {
  int row = -1;
  int seed = -1;
  double at_s = statistics::kNone_ratio;  // of the seed's edge, or of a stray band's opening
};

/// Looks for it through rows, or through stretches of rows in any order. Of equals the first by row
/// and seed is found.
class WitnessSearch {
 public:
  WitnessSearch(std::string_view metric, const PlacementRules& rules);
  /// The seeds from `first` up to but without `last`, or the bands, of this row after match_bands.
  void take_seeds(int row_index, const RowRecord& row, std::size_t first, std::size_t last);
  void take_bands(int row_index, const RowRecord& row, std::size_t first, std::size_t last);
  const Witness& worst() const { return worst_; }

 private:
  bool strays_;
  std::function<double(const RowRecord&, int seed)> score_;
  double highest_;  // tidy: unit the score's
  Witness worst_;
};

/// `rows` after match_bands.
Witness witness_of(std::string_view metric, std::span<const RowRecord> rows,
                   const PlacementRules& rules);
/// The seed of a row whose edge is the last at or before an instant; seed -1: none yet.
Witness witness_at(int row, double at_s, std::span<const RowRecord> rows);

}  // namespace sim::measure
