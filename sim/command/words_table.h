// A table of words on a terminal: each column as wide as its longest word, all to the left.
//
// Errors   none
// Checked  tests/sim/manual/manual_figures_slow_test.cc
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <cstdio>
#include <string>
#include <vector>

#include "sim/output/html.h"

namespace sim::command {

inline void print_words_table(const output::Table& table) {
  std::vector<std::size_t> widths;
  for (std::size_t k = 0; k < table.head.size(); ++k) {
    widths.push_back(table.head[k].size());
    for (const auto& line : table.lines) widths[k] = std::max(widths[k], line[k].size());
  }
  const auto print = [&](const std::vector<std::string>& line) {
    std::string text;
    for (std::size_t k = 0; k < line.size(); ++k)
      text += fmt::format("  {:<{}}", line[k], widths[k]);
    std::fputs((text.substr(0, text.find_last_not_of(' ') + 1) + "\n").c_str(), stdout);
  };
  print(table.head);
  for (const auto& line : table.lines) print(line);
}

}  // namespace sim::command
