// Files of the host, as a debugger or an emulator offers them to a bare part.
//
// Source   Arm, Semihosting for AArch32 and AArch64 (operations SYS_OPEN 0x01, SYS_WRITE 0x05,
//          SYS_READ 0x06, SYS_GET_CMDLINE 0x15, SYS_EXIT 0x18; on M profiles by BKPT 0xAB)
// Checked  tests/sim/study/check/cortex_m4_test.cc
#pragma once

#include <cstdint>

namespace part {

inline std::uint32_t semihost(std::uint32_t operation, const void* arguments) {
  register std::uint32_t r0 asm("r0") = operation;
  register const void* r1 asm("r1") = arguments;
  asm volatile("bkpt 0xab" : "+r"(r0) : "r"(r1) : "memory");
  return r0;
}

[[noreturn]] inline void leave() {
  constexpr std::uint32_t kExit = 0x18;
  const auto* stopped = reinterpret_cast<const void*>(std::uintptr_t{0x20026});  // by itself
  while (true) semihost(kExit, stopped);
}

enum class OpenFor : std::uint32_t { kReading = 1, kWriting = 5 };

inline std::uint32_t open_file(const char* path, OpenFor mode) {
  constexpr std::uint32_t kOpen = 0x01;
  std::uint32_t length = 0;
  while (path[length] != '\0') ++length;
  const std::uint32_t arguments[] = {
      static_cast<std::uint32_t>(reinterpret_cast<std::uintptr_t>(path)),
      static_cast<std::uint32_t>(mode), length};
  return semihost(kOpen, arguments);
}

/// Moves all `bytes`, or leaves: then the host is gone.
inline void read_all(std::uint32_t file, void* to, std::uint32_t bytes) {
  constexpr std::uint32_t kRead = 0x06;
  auto* place = static_cast<unsigned char*>(to);
  while (bytes > 0) {
    const std::uint32_t arguments[] = {
        file, static_cast<std::uint32_t>(reinterpret_cast<std::uintptr_t>(place)), bytes};
    const std::uint32_t missing = semihost(kRead, arguments);
    if (missing >= bytes) leave();
    place += bytes - missing;
    bytes = missing;
  }
}

inline void write_all(std::uint32_t file, const void* from, std::uint32_t bytes) {
  constexpr std::uint32_t kWrite = 0x05;
  const auto* place = static_cast<const unsigned char*>(from);
  while (bytes > 0) {
    const std::uint32_t arguments[] = {
        file, static_cast<std::uint32_t>(reinterpret_cast<std::uintptr_t>(place)), bytes};
    const std::uint32_t missing = semihost(kWrite, arguments);
    if (missing >= bytes) leave();
    place += bytes - missing;
    bytes = missing;
  }
}

}  // namespace part
