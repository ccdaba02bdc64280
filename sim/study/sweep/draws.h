// The samples of a study: values drawn from its distributions, as a person would write them.
//
//   random           share of axis a in sample s: counted draw (rng_key, a, s)
//   low-discrepancy  nets of `samples` Sobol points, beginning with the origin; net n is shifted by
//                    the exclusive or with a 32-bit draw (rng_key, a, n), so that each net by
//                    itself is even and without bias, and is an independent observation
//
// The inverse of the distribution turns a share into a value. Every combination of the listed axes
// runs the same samples, so that combinations are comparable.
// Source   directions of the Sobol points: Boost.Random 1.74, after S. Joe and F. Y. Kuo, SIAM J.
//          Sci. Comput. 30, 2008; digital shift: P. L'Ecuyer and C. Lemieux, Recent advances in
//          randomized quasi-Monte Carlo methods, 2002 (from memory); origin kept: A. B. Owen, On
//          dropping the first Sobol' point, 2020 (from memory)
// Checked  tests/published/low_discrepancy_test.cc, tests/sim/study/sweep/draws_test.cc
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "sim/scenario/loader.h"
#include "sim/study/sweep/study.h"

namespace sim::sweep {

/// The first `count` points in `axes` dimensions, each as the 32 binary digits after the point:
/// [point][axis].
std::vector<std::vector<std::uint32_t>> sobol_points(std::size_t axes, std::size_t count);
/// The SI value at a share above 0 and below 1.
double drawn_si(const scenario::AxisDraw& draw, double share_ratio);
/// Shares of the drawn axes, in their order, of one batch of `samples`: [sample][axis].
std::vector<std::vector<double>> drawn_shares_ratio(const Study& study, std::size_t batch);
/// The same as texts with units, with 7 digits: the text is the value that runs.
std::vector<std::vector<std::string>> drawn_values(const Study& study, std::size_t batch);

}  // namespace sim::sweep
