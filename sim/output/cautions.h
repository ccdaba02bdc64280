// The cautions of this work, once: every report and sheet shows them from here.
//
// Checked  tests/sim/study/run/report_test.cc
#pragma once

#include <string>

namespace sim::output {

std::string cautions_section();

}  // namespace sim::output
