// One finished case of a suite as a separate file, written whole, so that a suite that was killed
// continues from the finished cases and ends with the same bytes.
//
// Errors   reading: nothing if a file is missing, damaged, of another schema or of other inputs
// Checked  tests/sim/study/check/suite_run_test.cc
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "sim/study/check/case_result.h"

namespace sim::check {

std::string case_json(const CaseResult& result);
std::optional<CaseResult> read_case(const std::filesystem::path& file, const std::string& id,
                                    const std::string& inputs);
/// "runs/0123456789abcdef.json", by the hash of the case's name.
std::filesystem::path case_file(const std::filesystem::path& out, const std::string& id);
}  // namespace sim::check
