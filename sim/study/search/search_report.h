// What `search` writes: the report, summary.json, passes.csv and the shrunk case as a scenario.
//
//   passes.csv        a line per pass; passes of each method are numbered from 1
//   found.toml        the shrunk case (found_case.h)
//   found.delay.toml  the delay table that the passes had
//
// Errors   OutputError where not every byte could be written
// Checked  tests/sim/study/search/search_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/output/html.h"
#include "sim/study/search/search_run.h"

namespace sim::search {

/// The first line of everything: what was found, with how many passes.
std::string search_sentence(const SearchResult& result);
/// Each method with its passes, the share that fails, the first of them and the smallest margin.
output::Table methods_table(const SearchResult& result);
/// The changes that are left, or what came nearest; and why the first pass was not judged that was
/// not.
std::vector<std::string> search_findings(const SearchResult& result);
/// Smallest margin so far against the number of passes, of both methods.
std::string margin_svg(const SearchResult& result);
std::string search_json(const SearchResult& result);
/// Removes a found case of an earlier search where this one found none.
void write_search(const SearchResult& result, const std::filesystem::path& out);

}  // namespace sim::search
