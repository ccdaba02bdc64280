// The keys of a scenario whose text is the path of a file. Whoever writes such a text into another
// folder writes the path anew.
//
// Errors   none
// Checked  tests/sim/study/search/found_case_test.cc, tests/sim/study/page/page_settings_test.cc
#pragma once

#include <string_view>

namespace sim::scenario {

inline constexpr std::string_view kPathKeys[] = {"attachment.valve.coil.table",
                                                 "attachment.valve.file",
                                                 "controller.library",
                                                 "controller.storage",
                                                 "controller.table",
                                                 "seeding.spacings",
                                                 "travel.log"};

}  // namespace sim::scenario
