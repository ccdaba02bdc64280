// The samples of a study: values that its distributions give, as a person would write them.
//
//   random           share of axis a in sample s: counted draw (rng_key, a, s)
//   low-discrepancy  nets of `samples` Sobol points, the origin first; net n is shifted by the
//                    exclusive or with a 32-bit draw (rng_key, a, n), so that each net is even for
//                    itself, has no bias, and is an observation of its own
//
// A share becomes a value by the inverse of the distribution. Every combination of the listed axes
// runs the same samples, so that they compare like with like.
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

/// The first `count` points in `axes` dimensions, as 32 bits behind the point: [point][axis].
std::vector<std::vector<std::uint32_t>> sobol_points(std::size_t axes, std::size_t count);
/// Share above 0 and below 1 -> SI value.
double drawn_si(const scenario::AxisDraw& draw, double share_ratio);
/// Shares of the drawn axes, in their order, of one batch of `samples`: [sample][axis].
std::vector<std::vector<double>> drawn_shares_ratio(const Study& study, std::size_t batch);
/// The same as texts with units, of 7 digits: what is written is what runs.
std::vector<std::vector<std::string>> drawn_values(const Study& study, std::size_t batch);

}  // namespace sim::sweep
