// Result files of `outlet`: summary.json, candidates.csv, report.html; each is written whole or
// not at all.
//
//   JSON and CSV are SI; a figure that does not exist or is infinite is null in JSON, empty in CSV.
//   candidates.csv has one line per part, in the order of the grid.
//
// Errors   OutputError when the folder cannot be written
// Checked  tests/sim/study/outlet/outlet_output_test.cc
#pragma once

#include <filesystem>
#include <string>

#include "sim/study/outlet/outlet_study.h"
#include "sim/study/run/report.h"

namespace sim::outlet {

std::string outlet_json(const OutletResult& result);
std::string candidates_csv(const OutletResult& result);
void seal(OutletResult& result);
void write_outlet(const OutletResult& result, const std::filesystem::path& out,
                  output::Units units);

}  // namespace sim::outlet
