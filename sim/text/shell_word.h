// One word of a command line, quoted as a POSIX shell requires it, so that a printed command can be
// pasted.
//
// Errors   none
// Checked  tests/sim/study/check/suite_test.cc
#pragma once

#include <string>

namespace sim::text {

inline std::string shell_word(const std::string& word) {
  constexpr const char* kPlain =
      "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-+=.,:/%@";
  if (!word.empty() && word.find_first_not_of(kPlain) == std::string::npos) return word;
  std::string quoted = "'";
  for (const char c : word) quoted += c == '\'' ? std::string("'\\''") : std::string(1, c);
  return quoted + "'";
}

}  // namespace sim::text
