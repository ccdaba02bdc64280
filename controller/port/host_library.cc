// The reference controller as a shared library for the host: exports the three functions and
// nothing else. The table below is what makes the linker take them out of the static library.

#include "shared/controller_abi.h"

namespace {

struct Exports {
  const sillion_hardware* (*describe)(uint32_t);
  sillion_controller* (*init)(void*, size_t, const sillion_config*, const void*, size_t,
                              const void*, size_t);
  void (*step)(sillion_controller*, const sillion_input*, sillion_output*);
};

[[gnu::used]] constexpr Exports kExports{&sillion_describe, &sillion_init, &sillion_step};

}  // namespace
