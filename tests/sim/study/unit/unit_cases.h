// Units of the demo's row as the tests of this room use them: without noise, with a stated form of
// its lines, so that nothing has to be judged.
#pragma once

#include <string>
#include <vector>

#include "sim/study/unit/unit_archive.h"
#include "tests/sim/demo_scenario.h"

namespace unit_cases {

inline sim::scenario::Scenario row_scenario(std::vector<std::string> more = {}) {
  more.insert(more.begin(), {"row.count=1", "solver.form=\"fast\"", "solver.step=\"20 us\""});
  return sim_test::quiet_demo(more);
}

inline std::filesystem::path library() {
  return std::filesystem::path(SILLION_BINARY_DIR) / "sillion_row.so";
}

}  // namespace unit_cases
