// Figures of values that come one by one and are not kept: memory does not grow with their number.
//
//   Moments        count, mean and sum of squared differences, by Welford's update; sd as spread.h
//   CountedSpread  the same, the extremes, and how many values lie in each cell of a given width; a
//                  quantile is that of spread.h with each value moved to the middle of its cell, so
//                  it is known to half a cell
//
// Limits   values beyond `reach` count as lying there; their extremes and moments are exact
// Source   B. P. Welford, Technometrics 4(3), 1962; T. F. Chan, G. H. Golub and a third, The
//          American Statistician 37(3), 1983 for the sum of two (from memory)
// Checked  tests/sim/statistics/running_test.cc
#pragma once

#include <cstdint>
#include <vector>

#include "sim/statistics/spread.h"

namespace sim::statistics {

class Moments {
 public:
  void take(double value);  // tidy: unit is the metric's
  void take(const Moments& other);
  long long count() const { return count_; }
  double mean() const { return count_ > 0 ? mean_ : kNone_ratio; }  // tidy: unit is the metric's
  double squares() const { return squares_; }                       // tidy: unit squared
  double sd() const;                                                // tidy: unit is the metric's

 private:
  long long count_ = 0;
  double mean_ = 0.0;     // tidy: unit is the metric's
  double squares_ = 0.0;  // tidy: unit squared
};

class CountedSpread {
 public:
  /// Cells so wide, up to so far on either side of 0.
  CountedSpread(double cell, double reach) : cell_(cell), reach_(reach) {}  // tidy: unit any
  void take(double value);  // tidy: unit is the metric's
  /// `other` has the same cells.
  void take(const CountedSpread& other);
  const Moments& moments() const { return moments_; }
  double quantile(double share_ratio) const;  // tidy: unit is the metric's
  Spread spread() const;
  /// The middle of each cell that holds a value, rising, with how many it holds.
  struct Cell {
    double middle = 0.0;  // tidy: unit is the metric's
    long long count = 0;
  };
  std::vector<Cell> cells() const;

 private:
  static double quantile_in(const std::vector<Cell>& cells, long long count,  // tidy: unit any
                            double share_ratio);  // tidy: unit is the metric's

  double cell_;   // tidy: unit is the metric's
  double reach_;  // tidy: unit is the metric's
  Moments moments_;
  double most_ = kNone_ratio;  // of the sizes; tidy: unit is the metric's
  std::int64_t first_ = 0;     // number of the cell at the front of counts_
  std::vector<long long> counts_;
};

}  // namespace sim::statistics
