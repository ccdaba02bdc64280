// The three functions of a controller build: the reference that is linked in, or a shared library
// of a user.
//
// Errors   InputError that says what was expected and what was found: no such file, no shared
//          library, made for another machine, cut short, a function that is missing
// Checked  tests/sim/bench/controller_library_test.cc
#pragma once

#include <cstddef>
#include <cstdint>
#include <string>

#include "shared/controller_abi.h"

namespace sim::bench {

struct ControllerLibrary {
  const sillion_hardware* (*describe)(uint32_t) = nullptr;
  sillion_controller* (*init)(void*, size_t, const sillion_config*, const void*, size_t,
                              const void*, size_t) = nullptr;
  void (*step)(sillion_controller*, const sillion_input*, sillion_output*) = nullptr;
};

ControllerLibrary reference_controller();
/// Judges FILE.so by its first bytes and its length, without running anything of it: a library for
/// another machine, or one that was cut short, is refused here.
void require_library(const std::string& file);
/// Loads FILE.so into this process and runs its constructors; it stays loaded until the process
/// ends.
ControllerLibrary load_controller(const std::string& file);

}  // namespace sim::bench
