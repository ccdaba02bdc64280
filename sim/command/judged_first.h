// Inputs and outputs of a command are judged before its work: minutes of passes are not lost to a
// folder that cannot be written or a file that is no library.
//
// Errors   OutputError or InputError, with the path and what is wrong
// Checked  tests/sim/command/judged_first_test.cc
#pragma once

#include <filesystem>
#include <span>
#include <string_view>

#include "sim/scenario/scenario.h"

namespace sim::command {

/// A file that a command is going to write on request, such as --wave: no folder of that name, and
/// the nearest folder above it that exists can be written. Nothing is made. Empty: not asked for.
void require_writable(const std::filesystem::path& file);
/// No folder lies where one of these result files goes.
void require_free(const std::filesystem::path& out, std::span<const std::string_view> names);
/// The controller that the scenario names is a library of this machine; the reference always is.
void require_controller(const scenario::Scenario& scenario);

}  // namespace sim::command
