// What a worker process may ask of the kernel: almost nothing.
//
//   first    Landlock: files are read and executed, nothing is written or made. Limits: no core
//            files, 1 GiB of new addresses, 256 KiB per file. seccomp: no processes, no sockets, no
//            signals to others, files only to read: as much as loading a library needs
//   second   before the first call of the controller: no files, no descriptors, no sleep, no large
//            piece of memory. What remains: its own memory, printing, its own end
//
//   A refused system call raises SIGSYS, whose handler names it.
//
// Errors   what a kernel does not have is left out, and the bits that are returned say so
// Checked  tests/sim/bench/hostile_controllers_test.cc
#pragma once

#include <cstdint>

namespace sim::bench {

/// Bits of enum Confinement (worker_exchange.h) that hold from now on.
std::uint32_t confine_for_loading();
void confine_for_calls();
/// "for a new process (fork)": what a system call asks for, by its number.
const char* system_call_words(std::int32_t number);

}  // namespace sim::bench
