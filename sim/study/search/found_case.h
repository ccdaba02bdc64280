// The shrunk case of a search as a scenario file.
//
//   base      the way from the file's folder to the scenario that was searched
//   states    only what differs: what --set has changed and the changes that are left; a list is
//             stated whole, because a derived file replaces lists whole
//   paths     that were relative to the searched scenario are written anew, relative to the file
//   above it  stand its question and its expectation; `sillion run found.toml` fails as was said
//
// A controller of the command line (--controller) is no part of the case: it is said again.
//
// Errors   none
// Checked  tests/sim/study/search/found_case_test.cc, tests/sim/study/search/search_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/study/search/search_run.h"

namespace sim::search {

/// `to`: where the file will stand. Empty where nothing was found.
std::string found_toml(const SearchResult& result, const std::filesystem::path& to);

}  // namespace sim::search
