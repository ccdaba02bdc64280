// A file that is built into the program, so that nothing is read from disk to serve or write it.
//
// Errors   none
// Checked  tests/sim/output/report_script_test.cc
#pragma once

#include <span>
#include <string_view>

namespace sim::output {

struct Asset {
  std::string_view name;  // "page.css"
  std::string_view bytes;
};

}  // namespace sim::output
