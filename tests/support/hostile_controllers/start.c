/* Controllers that go wrong before the first call: while they load, describe themselves or start. */
#include <stdint.h>
#include <stdlib.h>

#include "tests/support/hostile_controllers/mischief.h"

static void crash(void) {
  volatile int* there = NULL;
  __asm__ volatile("" : "+r"(there));
  *there = 1;
}

const struct mischief load_crashes = {.at_load = crash};
const struct mischief load_gives_up = {.at_load = abort};

static const sillion_hardware* describe_nothing(uint32_t role, sillion_hardware* honest) {
  (void)role;
  (void)honest;
  return NULL;
}
const struct mischief describes_nothing = {.in_describe = describe_nothing};

static const sillion_hardware* describe_crash(uint32_t role, sillion_hardware* honest) {
  (void)role;
  crash();
  return honest;
}
const struct mischief describe_crashes = {.in_describe = describe_crash};

/* It returns, but what it returns is no address. */
static const sillion_hardware* describe_wild(uint32_t role, sillion_hardware* honest) {
  (void)role;
  (void)honest;
  return (const sillion_hardware*)(uintptr_t)16;
}
const struct mischief describes_elsewhere = {.in_describe = describe_wild};

/* Honest, but not what this bench needs. */
static const sillion_hardware* describe_version(uint32_t role, sillion_hardware* honest) {
  (void)role;
  honest->abi_version = SILLION_ABI_VERSION + 7;
  return honest;
}
const struct mischief speaks_another_version = {.in_describe = describe_version};

static const sillion_hardware* describe_no_tick(uint32_t role, sillion_hardware* honest) {
  (void)role;
  honest->tick_ns = 0;
  return honest;
}
const struct mischief has_no_tick = {.in_describe = describe_no_tick};

static const sillion_hardware* describe_no_row(uint32_t role, sillion_hardware* honest) {
  return role == SILLION_ROLE_ROW ? NULL : honest;
}
const struct mischief offers_no_row = {.in_describe = describe_no_row};

static const sillion_hardware* describe_no_machine(uint32_t role, sillion_hardware* honest) {
  return role == SILLION_ROLE_MACHINE ? NULL : honest;
}
const struct mischief offers_no_machine = {.in_describe = describe_no_machine};

static sillion_controller* init_null(sillion_controller* honest) {
  (void)honest;
  return NULL;
}
const struct mischief init_refuses = {.in_init = init_null};

static sillion_controller* init_crash(sillion_controller* honest) {
  crash();
  return honest;
}
const struct mischief init_crashes = {.in_init = init_crash};

/* Valid memory, but not in the block that the caller gave. */
static sillion_controller* init_foreign(sillion_controller* honest) {
  (void)honest;
  static uint64_t own[512];
  return (sillion_controller*)own;
}
const struct mischief init_keeps_its_own = {.in_init = init_foreign};

static sillion_controller* init_wild(sillion_controller* honest) {
  (void)honest;
  return (sillion_controller*)(uintptr_t)16;
}
const struct mischief init_points_nowhere = {.in_init = init_wild};
