// Looks for the smallest value of a function over the unit cube by controlled random search of
// NLopt, several searches side by side, and, as the control, by points drawn at random.
//
//   searches   kSearches independent ones, each with an equal share of the passes. A search keeps a
//              population of points, reflects a point through the middle of a random simplex of the
//              others, and takes the new point where it is better than the worst; a local mutation
//              follows a step that failed. The population is 3 (n + 1) points, but no more than
//              a third of the passes: with the library's 10 (n + 1) a search of 500 passes spends
//              most of them before its points have come together. A search whose points lie in one
//              place starts again elsewhere.
//   rounds     every search asks for one point, then all points of a round are judged together, so
//              the same points come in the same order on any number of threads. One search at a
//              time computes: the library's generator then gives the same numbers whether it is
//              common to all threads or not.
//   begins     the first search in the middle of the cube, the others at random
//   control    uniform in the cube, by key and index
//
// In       points in [0, 1]^n; values finite, smaller is what is looked for
// Errors   EXPECTS n >= 1 and a finite value; what `judge` throws ends all searches and is thrown
//          on
// Source   P. Kaelo, M. M. Ali, Some variants of the controlled random search algorithm for global
//          optimization, J. Optim. Theory Appl. 130 (2006), as GN_CRS2_LM of NLopt
// Checked  tests/sim/study/search/optimiser_test.cc
#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <vector>

namespace sim::search {

using Point = std::vector<double>;  // shares of each range  (tidy: ratio)

/// Values of the points of a round, in their order; empty: it is enough.
using JudgePoints = std::function<std::vector<double>(const std::vector<Point>& points)>;

inline constexpr std::size_t kSearches = 4;

struct OptimiserOptions {
  std::size_t dimensions = 1;
  std::size_t passes = 1;  // points that are judged, of all searches together
  std::uint64_t rng_key = 1;
};

void optimise(const OptimiserOptions& options, const JudgePoints& judge);
void draw_at_random(const OptimiserOptions& options, const JudgePoints& judge);

}  // namespace sim::search
