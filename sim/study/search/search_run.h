// A search: the scenario itself, then all passes of the optimiser and of the random control, then
// the worst case shrunk.
//
//   A round of points is judged on all threads, each pass on one thread, with results by index, so
//   the same passes come on any number of threads.
//   until_found  each method ends with its first pass that fails
//   not judged   passes that say nothing (margin.h) are counted, and are no passes that hold
//   shrunk       the failing pass with the smallest margin, of the optimiser if it has one; a
//                change counts as needed while the case fails in the same way: by the same
//                requirement, or by a failed controller or bench
//
// Errors   Interrupted where the caller asked to stop
// Checked  tests/sim/study/search/search_test.cc, tests/sim/study/search/search_slow_test.cc
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "sim/study/search/margin.h"
#include "sim/study/search/search.h"

namespace sim::search {

struct SearchPass {
  Changes changes;
  JudgedPass judged;
};

struct Method {
  const char* name = "";
  std::vector<SearchPass> passes;

  std::size_t failing() const;
  std::size_t not_judged() const;  // passes that say nothing
  std::size_t idle() const;        // passes with an added fault that never acted
  int first() const;               // the first pass that fails, from 0; -1: none
  int best() const;                // the pass with the smallest margin; -1: no pass says anything
};

struct ShrunkCase {
  Changes changes;
  JudgedPass judged;
  int from_changes = 0;  // number before
  int passes = 0;        // that it took
};

struct SearchResult {
  Search search;
  JudgedPass base;  // the scenario without any change
  Method optimiser{"optimiser", {}};
  Method random{"at random", {}};
  std::optional<ShrunkCase> shrunk;  // none: nothing fails
};

/// The failing pass with the smallest margin, else the pass that came nearest; null: no pass says
/// anything, or none was run.
const SearchPass* nearest_pass(const SearchResult& result);

struct SearchOptions {
  bool until_found = false;
  const std::atomic<bool>* stop = nullptr;
  std::function<void(double done_ratio)> on_progress;
};

/// Where the scenario fails without any change, no further pass is run.
SearchResult run_search(const Search& search, const SearchOptions& options = {});

}  // namespace sim::search
