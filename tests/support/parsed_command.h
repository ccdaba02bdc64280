// One example command line through the program's own parser, without running it.
//
// Errors   none thrown: the answer is the parser's
// Checked  tests/sim/manual/manual_examples_test.cc
#pragma once

#include <string>
#include <vector>

#include "sim/command/command_options.h"

namespace support {

/// True where the program would go on and run it. The parser's messages go to its streams.
inline bool program_takes(const std::vector<std::string>& words) {
  std::vector<std::string> copy = words;
  std::vector<char*> argv;
  for (std::string& word : copy) argv.push_back(word.data());
  argv.push_back(nullptr);
  sim::command::CommandOptions options;
  return sim::command::parse_command_line(static_cast<int>(words.size()), argv.data(), options) ==
         sim::command::kGoOn;
}

}  // namespace support
