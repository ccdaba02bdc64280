// A suite on the command line: loaded with its controller and keys, its finished cases found again,
// judged against its baseline, its exit code.
//
// Errors   InputError, OutputError
// Checked  tests/sim/command/check_command_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/command/suite_options.h"
#include "sim/study/check/suite_result.h"

namespace sim::command {

/// What of a suite is loaded, and how; as it stands, all of it with the suite's own keys.
struct SuiteChoice {
  KeyOptions keys;
  std::string only;              // a glob over cases; empty: all
  bool begins_baseline = false;  // a baseline that is not there yet is about to be written
};

/// Every case not run yet. The baseline where one is stated: a suite's own that is not there yet
/// holds nothing; one that the command line names must be there, unless it is about to be written.
check::SuiteResult load_suite_work(const SuiteOptions& options, const SuiteChoice& choice);
std::filesystem::path suite_folder(const check::SuiteResult& suite, const SuiteOptions& options);
/// Takes what finished cases the folder holds for these very inputs.
void take_finished(const std::filesystem::path& out, check::SuiteResult& suite);
/// Fills `inputs`, movements and gone of all cases.
void judge_suite(check::SuiteResult& suite);
/// Mandatory first, then what the baseline does not know, then the tightest margin; finished cases
/// are left out.
std::vector<std::size_t> running_order(const check::SuiteResult& suite);
int code_of(check::Trouble trouble, bool strict);
int code_of(const check::SuiteResult& suite, bool strict);

}  // namespace sim::command
