// The smallest change that still fails: first as few changes as possible, then each as small as
// possible.
//
//   fewest_changes   the algorithm ddmin: tries parts of the list, then the list without each part,
//                    and halves the parts where neither fails. What is left fails, and no single
//                    change can be left out of it
//   least_share      bisection between 0 (does not fail) and 1 (fails): the end that fails
//
// Shape    lists of indices, rising
// Errors   EXPECTS that the whole list fails, when it is asked; what `fails` throws is thrown on
// Source   A. Zeller, R. Hildebrandt, Simplifying and isolating failure-inducing input, IEEE Trans.
//          Software Eng. 28 (2002)
// Checked  tests/sim/study/search/shrink_test.cc
#pragma once

#include <cstddef>
#include <functional>
#include <vector>

namespace sim::search {

using Kept = std::vector<std::size_t>;

/// `fails` is asked once for each list at most.
Kept fewest_changes(std::size_t count, const std::function<bool(const Kept& kept)>& fails);
/// The least share that was seen to fail, after so many halvings.
double least_share_ratio(int halvings, const std::function<bool(double share_ratio)>& fails);

}  // namespace sim::search
