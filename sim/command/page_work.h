// Long work as the page asks for it, turned into a command of the program and its input files.
//
// Errors   InputError: no such work, a name or an axis that cannot be used; OutputError
// Checked  tests/sim/command/page_answers_test.cc
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "sim/study/page/page_settings.h"

namespace sim::command {

struct PageWork {
  std::string kind;  // of page_work_kinds()
  // of sweep and search: the key that is varied, with its first and last value; of a sweep also how
  // many values
  std::string key, from, to;
  int steps = 0;
};

/// The commands that the page can start, as far as this program has them.
std::vector<std::string> page_work_kinds();
/// Writes the inputs into `folder`; returns the command with its options, without --out.
std::vector<std::string> work_words(const page::PageBase& base,
                                    const std::vector<page::Setting>& settings,
                                    const PageWork& work, const std::filesystem::path& folder);
/// Letters, digits, _ and -, at most 40: a name of a file that leads nowhere else.
void require_plain_name(const std::string& name);

}  // namespace sim::command
