// What a bench and the worker process of a pass share: three parts of one mapping, each written by
// one side only.
//
//   Asked     the bench writes, the worker reads: what to do next, inputs by lane
//   Answered  the worker writes, the bench reads and believes only as far as it can check
//   Watched   the parent of the workers writes: how the worker ended
//
//   A question is asked by counting Asked::number up and answered by setting Answered::number to
//   it; each side sleeps on the other's number (futex) where it does not change soon.
//
// Layout   plain members; parts start at pages, so that the worker maps Asked read-only and does
//          not map Watched
// Errors   none
// Checked  tests/sim/bench/apart_host_test.cc
#pragma once

#include <atomic>
#include <cstddef>
#include <cstdint>

#include "shared/controller_abi.h"
#include "sim/bench/slot_ahead.h"

namespace sim::bench {

/// 64 rows and the machine's controller.
inline constexpr int kMostLanes = 65;

enum class WorkerTask : std::uint32_t {
  kLoad,
  kDescribe,
  kStart,
  kStep,
  kOpen,     // a port that runs ahead, with its controller
  kAhead,    // slots of several ports
  kStop,     // a port that runs ahead stops
  kRestart,  // and starts again
  kEnd
};

/// Stands where nobody writes while a controller is called.
inline constexpr std::uint64_t kExchangeFence = 0x5ea1ed0fe2ce5ea1u;

struct WorkerAsked {
  std::uint64_t fence;
  std::atomic<std::uint32_t> number;
  std::atomic<std::uint32_t> sleeps;  // the bench waits in the kernel
  std::uint32_t task;                 // enum WorkerTask
  std::uint32_t role;                 // kDescribe
  std::uint32_t memory_bytes;         // kStart
  std::uint32_t retained;             // kStart, kRestart: enum Retained
  std::int32_t lane;                  // kStart, kOpen, kStop, kRestart
  double drift_ratio;                 // kOpen: of the clock
  double start_before_wrap_s;         // kOpen
  shared::Instant at;                 // kStop, kRestart
  std::uint32_t cause;                // kRestart: enum sillion_reset
  std::uint32_t power_lost;           // kStop
  std::uint32_t storage_bytes;        // kStart
  std::uint8_t storage[SILLION_PAGES_MAX * SILLION_PAGE_BYTES];
  std::uint32_t count;  // kStep, kAhead
  std::int32_t lanes[kMostLanes];
  sillion_config config;
  sillion_input inputs[kMostLanes];
  char library[4096];  // absolute; empty: the reference
  AheadQuestion ahead[kMostLanes];
};

/// What a controller did that ended the worker, as far as the worker could still say.
enum class WorkerFault : std::uint32_t {
  kNone,
  kCrash,  // code: signal
  kStack,  // used up
  kBlock,  // wrote beside its memory block
  kThrew,  // text: the exception
  kFloatMode,
  kInvalid,
  kSystemCall,  // code: its number, argument: its second argument
  kInput,       // text: the library cannot be used
  kText,        // text: what it did
  kPort,        // text: a whole sentence; code: row, -1 the machine's; argument: instant in ns
};

struct WorkerAnswered {
  std::uint64_t fence_before;
  std::atomic<std::uint32_t> number;
  std::atomic<std::uint32_t> sleeps;  // the worker waits in the kernel
  std::int32_t lane;                  // whose controller is being called; -1: none
  std::uint32_t called_why;           // of a port that runs ahead: reason, instant, number of call
  shared::Instant called_at;
  std::int64_t called;
  std::uint32_t confined;  // bits of enum Confinement
  std::uint32_t given;     // kDescribe: the role is offered; kStart: it started
  sillion_hardware hardware;
  std::uint32_t done[kMostLanes];  // number of the question that the output answers
  sillion_output outputs[kMostLanes];
  std::uint32_t fault;  // enum WorkerFault
  std::int32_t code;
  std::uint64_t argument;
  char text[512];
  AheadAnswer ahead[kMostLanes];
  std::uint64_t fence_after;
};

struct WorkerWatched {
  std::atomic<std::uint32_t> ended;
  std::int32_t status;  // as waitpid gives it
  std::atomic<std::int32_t> process;
};

/// What the kernel keeps a worker from.
enum Confinement : std::uint32_t {
  kNoSystemCalls = 1,  // seccomp: all but a few system calls
  kNoFiles = 2,        // Landlock: nothing is written, whatever a call is named
};

inline constexpr std::size_t kExchangePage = 4096;
constexpr std::size_t pages_of(std::size_t bytes) {
  return (bytes + kExchangePage - 1) / kExchangePage * kExchangePage;
}

/// The mapping's parts, by offset.
struct WorkerExchange {
  static constexpr std::size_t kAnsweredAt = pages_of(sizeof(WorkerAsked));
  static constexpr std::size_t kWatchedAt = kAnsweredAt + pages_of(sizeof(WorkerAnswered));
  static constexpr std::size_t kBytes = kWatchedAt + pages_of(sizeof(WorkerWatched));

  unsigned char* base = nullptr;
  WorkerAsked& asked() const { return *reinterpret_cast<WorkerAsked*>(base); }
  WorkerAnswered& answered() const {
    return *reinterpret_cast<WorkerAnswered*>(base + kAnsweredAt);
  }
  WorkerWatched& watched() const { return *reinterpret_cast<WorkerWatched*>(base + kWatchedAt); }
  bool fences_whole() const {
    return asked().fence == kExchangeFence && answered().fence_before == kExchangeFence &&
           answered().fence_after == kExchangeFence;
  }
};

}  // namespace sim::bench
