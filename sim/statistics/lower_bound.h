// One-sided lower 95 % bound of a share. Seeds of one row share that row's mount, bore and sensor,
// so the independent trials are the rows and not the seeds. Student's t over the rows' shares takes
// that into account; Wilson's bound of the pooled counts limits it where all rows agree by chance
// (if all are good, t alone would claim certainty).
//
// Checked  tests/sim/measure/summary_test.cc
#pragma once

#include <span>

namespace sim::statistics {

/// The lower of two bounds: Student's t over the clusters' shares and Wilson's over the pooled
/// counts; Wilson's alone for one cluster, not-a-number for none. Shapes: good and total by
/// cluster.
double lower95_ratio(std::span<const long long> good, std::span<const long long> total);

}  // namespace sim::statistics
