// What `list` shows: every catalog as name, unit and meaning.
//
// Errors   InputError on an unknown kind, with the nearest one
// Checked  tests/sim/command/command_test.cc
#pragma once

#include <string>
#include <vector>

namespace sim::command {

struct ListEntry {
  std::string name;
  std::string unit;
  std::string meaning;
};

struct Listing {
  std::vector<ListEntry> entries;
};

Listing list_of(const std::string& kind);

}  // namespace sim::command
