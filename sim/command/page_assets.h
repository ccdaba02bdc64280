// The page's own files, built into the program: nothing is read from disk to serve them.
//
// Errors   none
// Checked  tests/sim/command/page_answers_test.cc
#pragma once

#include <span>
#include <string_view>

namespace sim::command {

struct PageAsset {
  std::string_view name;  // "page.css"
  std::string_view bytes;
};

/// The files of sim/command/page. Defined in a source that cmake writes from them
/// (sim/command/page/embed.cmake).
std::span<const PageAsset> page_assets();

}  // namespace sim::command
