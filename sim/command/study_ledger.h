// How a command uses the ledger of its study (sim/output/ledger.h): the option --resume, the line
// that says how to go on, and the ledger beside the results.
//
// Errors   as sim/output/ledger.h
// Checked  tests/sim/command/sweep_command_test.cc, tests/sim/command/study_ledger_test.cc
#pragma once

#include <filesystem>
#include <memory>
#include <string>

#include "sim/command/common_options.h"
#include "sim/output/ledger.h"

namespace sim::command {

/// `what` a killed command has finished: "cells and passes".
void add_resume_option(CommandWords& words, bool& resume, const std::string& what);
/// Makes `again` the command that goes on.
void complete_with_resume(CommonOptions& options, bool resume);
/// Says on standard error how to go on after a kill; nothing with --quiet.
void tell_how_to_go_on(const CommonOptions& options, const std::string& how = "go on with");
/// The ledger in `out`; what killed ranks have left there is taken over if `goes_on`, and otherwise
/// deleted.
std::unique_ptr<output::Ledger> opened_ledger(const std::filesystem::path& out,
                                              const output::LedgerOwner& owner, bool goes_on);

}  // namespace sim::command
