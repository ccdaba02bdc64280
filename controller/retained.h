// What survives a reset: the health counters, if the memory kept them whole.
//
//   The block's first bytes carry a mark, the role, the counters and a check sum over them, renewed
//   at the end of every call. After a reset the counters go on and `resets` counts one more; a
//   block that fails the check (reset during a write) starts from zero, as does a power-up. Nothing
//   else is kept: seeds in flight when the row stopped are lost, which the reset itself reports.
//
// Checked  tests/controller/abi_test.cc
#pragma once

#include <cstddef>
#include <cstdint>

#include "shared/controller_abi.h"

namespace controller {

struct Retained {
  std::uint32_t mark = 0;
  std::uint32_t role = 0;
  sillion_health health{};
  std::uint32_t check = 0;
};

void seal(Retained& kept);
/// The counters to go on with after a reset of this cause (enum sillion_reset).
Retained retained_from(const void* memory, std::size_t size, std::uint32_t role,
                       std::uint32_t reset_cause);

}  // namespace controller
