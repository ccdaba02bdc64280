// One-sided lower 95 % bound of a share. Seeds of one row share that row's mount, bore and sensor,
// so they are no independent trials: rows are. Student's t over the rows' shares takes that into
// account; Wilson's bound of the pooled counts keeps it honest where all rows agree by chance (all
// good: t alone would claim certainty).
//
// Checked  tests/sim/measure/summary_test.cc
#pragma once

#include <span>

namespace sim::statistics {

/// One-sided lower 95 % bound of a share from clusters: Student t over the clusters' shares, but
/// never above the Wilson bound of the pooled counts. Shapes: good and total by cluster.
double lower95_ratio(std::span<const long long> good, std::span<const long long> total);

}  // namespace sim::statistics
