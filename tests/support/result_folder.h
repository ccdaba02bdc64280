// A folder of results as a test compares it: every file below it by its path, with its bytes.
//
// Errors   none: a folder that is not there has no files
// Checked  by the tests that compare
#pragma once

#include <map>
#include <string>

#include "tests/support/run_program.h"

namespace support {

inline std::map<std::string, std::string> files_below(const std::filesystem::path& folder) {
  std::map<std::string, std::string> files;
  std::error_code ignored;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(folder, ignored))
    if (entry.is_regular_file())
      files[entry.path().lexically_relative(folder).string()] = text_of(entry.path());
  return files;
}

}  // namespace support
