// A table with its check sum, computed as the controller computes it.
//
//   CRC-32 (ISO 3309) over the members of sillion_attachment_table before check_sum, opening_us
//   only where one of it is stated, each as a word
//   of 32 bits, lowest byte first, in the order of shared/controller_abi.h. Bench and controller
//   each list the members in their own code: the two must agree, or the controller refuses the
//   table.
//
// Checked  tests/sim/study/delay/delay_test.cc
#pragma once

#include <cstdint>

#include "shared/controller_abi.h"

namespace sim::scenario {

std::uint32_t table_check_sum(const sillion_attachment_table& table);
sillion_attachment_table sealed_table(const sillion_attachment_table& table);

}  // namespace sim::scenario
