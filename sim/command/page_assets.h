// The page's own files, built into the program: nothing is read from disk to serve them.
//
// Errors   none
// Checked  tests/sim/command/page_answers_test.cc
#pragma once

#include "sim/output/asset.h"

namespace sim::command {

/// The files of sim/command/page. Defined in a source that cmake writes from them
/// (sim/output/embed.cmake).
std::span<const output::Asset> page_assets();

}  // namespace sim::command
