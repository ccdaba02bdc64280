// A path as a printed command has it: one that works where it is printed and from the repository's
// top.
//
//   as it was typed     absolute, or relative and typed at the top of the repository
//   else                absolute
//
// So a check that was started at the top prints the same bytes on every machine.
// Errors   none
// Checked  tests/sim/command/shown_path_test.cc
#pragma once

#include <filesystem>
#include <string>

namespace sim::command {

/// `typed` is seen from where the command was started; empty stays empty.
inline std::string shown_path(const std::filesystem::path& typed) {
  if (typed.empty() || typed.is_absolute()) return typed.string();
  std::error_code error;
  const std::filesystem::path here = std::filesystem::current_path(error);
  if (error) return typed.string();
  const std::filesystem::path plain = typed.lexically_normal();
  const bool at_top = std::filesystem::exists(here / ".git", error);
  if (at_top && *plain.begin() != "..") return plain.string();
  return (here / plain).lexically_normal().string();
}

}  // namespace sim::command
