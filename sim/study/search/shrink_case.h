// Shrinks a failing case of a search: leaves out changes that are not needed, moves each quantity
// that is left towards the scenario's own value, and makes faults milder and shorter. No single
// change can be left out of the case that is given back.
//
// Errors   what `judge` throws is thrown on
// Checked  tests/sim/study/search/shrink_case_test.cc, tests/sim/study/search/search_test.cc
#pragma once

#include <functional>

#include "sim/study/search/search_run.h"

namespace sim::search {

/// Runs the scenario with these changes; a change that it does not take is a pass that is not
/// served.
using JudgeChanges = std::function<JudgedPass(const Changes& changes)>;

/// `found` fails, and the scenario without any change does not.
ShrunkCase shrink_case(const Search& search, const SearchPass& found, const JudgeChanges& judge);

}  // namespace sim::search
