// What a worker process holds: the library, each controller with its block, the ports that run
// ahead, and the question that is being answered. One worker, one pass.
//
// Errors   end_with() writes a fault into the exchange and ends the process
// Checked  tests/sim/bench/hostile_controllers_test.cc
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <vector>

#include "sim/bench/controller_instance.h"
#include "sim/bench/controller_port.h"
#include "sim/bench/futex_turn.h"
#include "sim/bench/guarded_memory.h"
#include "sim/bench/supply_line.h"
#include "sim/bench/worker_exchange.h"

namespace sim::bench {

/// A port that lives beside its controller, and how far its plant's steps have been followed.
struct AheadLane {
  std::unique_ptr<ControllerPort> port;
  shared::Instant at{};  // the step that is being followed starts here
  shared::Duration step{};
  SupplyLine supply;
};

/// The question that is being answered.
struct Now {
  std::uint32_t number = 0;
  std::size_t count = 0;
  std::array<std::int32_t, kMostLanes> lanes{};
  std::size_t at = 0;  // of a slot ahead: index of the lane at work
};

/// What a signal handler has to know; one worker, one pass.
struct Worker {
  WorkerExchange exchange;
  ControllerLibrary library;
  std::array<ControllerInstance, kMostLanes> lanes;
  std::array<AheadLane, kMostLanes> ahead;
  std::vector<BridgeChange> changes;
  GuardedMemory input{sizeof(sillion_input)};
  GuardedMemory output{sizeof(sillion_output)};
  std::array<sillion_output, kMostLanes> outputs{};  // as they were answered
  Now now;
  Look look;
};
extern Worker* worker;

/// Writes down what was wrong and ends the process. Safe in a signal handler.
[[noreturn]] void end_with(WorkerFault fault, int code, std::uint64_t argument,
                           const char* text = "");
/// Makes crashes, refused system calls and all else that a signal reports end with their fault.
void catch_worker_signals();

}  // namespace sim::bench
