// Result files for comparison to the byte.
//
// Errors   none
// Checked  by the tests that compare
#pragma once

#include <string>

#include "tests/support/run_program.h"

namespace support {

/// junit.xml is the only file that holds times of the wall clock: this removes them.
inline std::string without_times(std::string xml) {
  const std::string name = " time=\"";
  for (std::size_t at = 0; (at = xml.find(name, at)) != std::string::npos;)
    xml.erase(at, xml.find('"', at + name.size()) + 1 - at);
  return xml;
}

inline std::string comparable(const std::filesystem::path& file) {
  const std::string text = text_of(file);
  return file.filename() == "junit.xml" ? without_times(text) : text;
}

}  // namespace support
