// How much more scatter below the sensor a goal tolerates: the sd of an independent normal shift of
// each seed at which the share within the tolerance falls to the goal.
//
//   share(s) = (1/N) sum_i [Phi((tol - e_i)/s) - Phi((-tol - e_i)/s)]
//   N sensed seeds, errors e_i
//
// Seeds without an error (missed, shared, unlawfully merged) are misses at every s. share(0) is the
// plain count |e| <= tol. Scatter added above the sensor acts otherwise, because the edge sees it.
// Output   s where the share first falls below the goal; 0 when it is below already; not-a-number
//          when no seed was sensed
// Errors   EXPECTS tolerance > 0, 0 < goal < 1
// Checked  tests/sim/measure/break_even_test.cc
#pragma once

#include <span>

namespace sim::measure {

struct Goal {
  double tolerance_m = 0.010;
  double share_ratio = 0.95;
};

/// Share within the tolerance once every error is scattered by s.
double scattered_share_ratio(std::span<const double> errors_m, long long sensed, double scatter_m,
                             const Goal& goal);
double break_even_scatter_m(std::span<const double> errors_m, long long sensed, const Goal& goal);
/// The same where `counts[k]` seeds have the error `errors_m[k]`.
double break_even_scatter_m(std::span<const double> errors_m, std::span<const long long> counts,
                            long long sensed, const Goal& goal);

}  // namespace sim::measure
