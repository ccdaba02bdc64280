// How sure a mean is: two-sided 95 % interval from clusters (rows); each cluster counts as one
// value.
//
//   mean +- t(0.975, n-1) * sd / sqrt(n)     the seeds of a row share its fixed offsets, so seeds
//   are not independent draws
//
// Fewer than two clusters: no interval (not-a-number).
// Source   Student's t, two-sided 95 %: NIST/SEMATECH e-Handbook of Statistical Methods, table
//          1.3.6.7.2 (from memory)
// Checked  tests/sim/study/run/tables_test.cc
#pragma once

#include <span>

namespace sim::statistics {

struct Interval {
  double low_si = 0.0;
  double high_si = 0.0;
};

/// Values that are not-a-number are left out: a row without a band has no mean error.
Interval interval95(std::span<const double> by_cluster_si);

}  // namespace sim::statistics
