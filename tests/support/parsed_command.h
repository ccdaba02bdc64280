// One example command line through the program's own parser, without running it.
//
// Errors   none thrown: the answer is the parser's
// Checked  tests/sim/manual/manual_examples_test.cc, tests/sim/command/kept_findings_test.cc
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "sim/command/commands.h"

namespace support {

/// What the program would go on and run; none where it would end. The parser's messages go to its
/// streams.
inline std::optional<sim::command::Command> parsed_command(const std::vector<std::string>& words) {
  std::vector<std::string> copy = words;
  std::vector<char*> argv;
  for (std::string& word : copy) argv.push_back(word.data());
  argv.push_back(nullptr);
  return sim::command::read_command_line(static_cast<int>(words.size()), argv.data()).command;
}

inline bool program_takes(const std::vector<std::string>& words) {
  return parsed_command(words).has_value();
}

}  // namespace support
