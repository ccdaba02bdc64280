// Held by whoever puts a result in place, so that the code that ends the program waits for it
// (hold_writes_for of write_folder.h).
//
// Errors   none
// Checked  tests/sim/output/write_folder_test.cc
#pragma once

#include <shared_mutex>

namespace sim::output {

std::shared_lock<std::shared_timed_mutex> while_writing();

}  // namespace sim::output
