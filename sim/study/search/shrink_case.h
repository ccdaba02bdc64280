// Shrinks a failing case of a search: leaves out changes that are not needed, moves each quantity
// that is left towards the scenario's own value, and makes faults milder and shorter.
//
// Errors   Interrupted where the caller asked to stop
// Checked  tests/sim/study/search/search_test.cc
#pragma once

#include "sim/study/search/search_run.h"

namespace sim::search {

ShrunkCase shrink_case(const Search& search, const SearchPass& found,
                       const std::atomic<bool>* stop);

}  // namespace sim::search
