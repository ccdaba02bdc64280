// The row's module as the program hands it out: the file beside it, what the module has to know for
// a page, and one HTML file that holds all of it and opens from a disk.
//
// Errors   InputError: a program without the module; a scenario that the module cannot carry
// Checked  tests/sim/command/row_module_test.cc, tests/sim/command/row_module_slow_test.cc
#pragma once

#include <atomic>
#include <filesystem>
#include <string>
#include <string_view>
#include <vector>

#include "sim/command/browser/row_module.h"
#include "sim/study/page/page_settings.h"

namespace sim::command {

inline constexpr std::string_view kModuleFile = "row.wasm.gz";

/// The module beside this program, as gzip packed it; empty where it was not built.
std::string module_bytes(const std::filesystem::path& program);
/// What a page's module knows: settings that it does not take itself are laid into its scenario.
RowContents contents_for(const page::PageBase& base, const std::vector<page::Setting>& settings);
/// Computes the full answer and writes the page around it.
std::string standalone_page(const page::PageBase& base, const std::filesystem::path& program,
                            const std::atomic<bool>* stop);

}  // namespace sim::command
