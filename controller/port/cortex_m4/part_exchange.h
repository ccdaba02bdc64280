// What the host and the emulated microcontroller say to each other, both compiled from this file.
//
//   hello   -> sizes of the interface's structures as the part's compiler lays them out, what
//              hardware both roles want, and where the stack ends
//   start   request, sillion_config, block, storage   -> answer, block
//   step    request, sillion_input, block             -> answer, sillion_output, block
//
// The block travels with every call, so that the caller owns the controller's memory here as
// everywhere, and one part serves any number of controllers.
//
// Numbers  little endian, as both processors have them; no padding inside
// Checked  tests/sim/study/check/cortex_m4_test.cc
#pragma once

#include <cstdint>

#include "shared/controller_abi.h"

namespace part {

enum Operation : std::uint32_t { kHello = 1, kStart = 2, kStep = 3 };

inline constexpr std::uint32_t kMostBlockBytes = 16 * 1024;
inline constexpr std::uint32_t kMostStorageBytes = SILLION_PAGES_MAX * SILLION_PAGE_BYTES;

struct Request {
  std::uint32_t operation = 0;
  std::uint32_t block_bytes = 0;
  std::uint32_t storage_bytes = 0;  // 0: none is shown
  std::uint32_t retained = 0;       // 1: the block is what survived the reset
};

struct Answer {
  std::uint32_t good = 0;          // of start: the controller took the block
  std::uint32_t instructions = 0;  // of the controller's function, its call and return included
  std::uint32_t stack_bytes = 0;   // deepest use in it
};

struct Hello {
  std::uint32_t config_bytes = sizeof(sillion_config);
  std::uint32_t input_bytes = sizeof(sillion_input);
  std::uint32_t output_bytes = sizeof(sillion_output);
  sillion_hardware row{};
  sillion_hardware machine{};
};

}  // namespace part
