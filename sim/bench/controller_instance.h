// One controller with its memory block: started, started again after a reset, stepped. The same
// code runs in this process and in a worker, so both give a controller the same memory and the same
// floating-point state.
//
// Errors   what a controller does is reported in words by the caller; nothing is caught here
// Checked  tests/sim/bench/controller_host_test.cc
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>

#include "shared/controller_abi.h"
#include "sim/bench/controller_host.h"
#include "sim/bench/controller_library.h"
#include "sim/bench/guarded_memory.h"

namespace sim::bench {

struct ControllerInstance {
  std::unique_ptr<GuardedMemory> block;
  sillion_controller* controller = nullptr;
};

/// Readies the block and its retained part; the caller itself makes the call of `init`.
inline void ready_block(ControllerInstance& one, std::uint32_t memory_bytes, Retained retained) {
  const bool fresh = one.block == nullptr || one.block->size() != memory_bytes;
  if (fresh) one.block = std::make_unique<GuardedMemory>(memory_bytes);
  if (retained == Retained::kNone) one.block->clear();
  // A supply that failed during a write leaves some cells flipped.
  constexpr std::size_t kDamagedEvery = 61;
  if (retained == Retained::kDamaged)
    for (std::size_t k = 0; k < memory_bytes; k += kDamagedEvery) one.block->data()[k] ^= 0x20u;
}

inline void call_init(const ControllerLibrary& library, ControllerInstance& one,
                      const sillion_config& config, Retained retained,
                      std::span<const std::uint8_t> storage) {
  const bool kept = retained != Retained::kNone;
  one.controller =
      library.init(one.block->data(), one.block->size(), &config,
                   kept ? one.block->data() : nullptr, kept ? one.block->size() : std::size_t{0},
                   storage.empty() ? nullptr : storage.data(), storage.size());
}

/// What a controller that started did wrong; empty: nothing.
inline std::string start_fault(const ControllerInstance& one) {
  const auto* at = reinterpret_cast<const unsigned char*>(one.controller);
  const unsigned char* block = one.block->data();
  const bool inside =
      at == nullptr || at == block || (at > block && at < block + one.block->size());
  return inside ? "" : "keeps its state outside the memory block that it was given";
}

}  // namespace sim::bench
