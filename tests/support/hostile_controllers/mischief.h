/* What one hostile controller does, and when. Every library is the example controller
 * (tests/support/example_controller.c) with one of these beside it; what a hook leaves out is done
 * honestly.
 *
 *   at_load      while the library is loaded, in a constructor
 *   in_describe  in place of sillion_describe, in both roles
 *   in_init      at the end of sillion_init of row 1: gives what it returns
 *   in_call      at the end of call number MISCHIEF_CALL of row 1, counted from 0
 *   in_every_call   at the end of each call of row 1
 *
 * Test code: it is allowed the C library, which a controller is not.
 * Checked  tests/sim/bench/hostile_controllers_test.cc
 */
#ifndef SILLION_TESTS_MISCHIEF_H
#define SILLION_TESTS_MISCHIEF_H

#include "shared/controller_abi.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Late enough that the row works, early enough that no seed has come: the call is the tick at
 * 51 ms, in every scenario. */
enum { MISCHIEF_ROW = 1, MISCHIEF_CALL = 50 };

struct mischief_call {
  unsigned char* block; /* the controller's own memory */
  size_t block_bytes;
  const sillion_input* in;
  sillion_output* out; /* as an honest controller filled it */
};

struct mischief {
  void (*at_load)(void);
  const sillion_hardware* (*in_describe)(uint32_t role, sillion_hardware* honest);
  sillion_controller* (*in_init)(sillion_controller* honest);
  void (*in_call)(const struct mischief_call* call);
  void (*in_every_call)(const struct mischief_call* call);
};

#ifdef __cplusplus
}
#endif

#endif
