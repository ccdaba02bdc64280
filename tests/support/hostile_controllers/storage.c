/* Controllers that misuse their storage: a page that the part lacks, a command that it does not know,
 * and one command after the other without waiting. */
#include "tests/support/hostile_controllers/mischief.h"

static const sillion_hardware* describe_four_pages(uint32_t role, sillion_hardware* honest) {
  (void)role;
  honest->storage_pages = 4;
  return honest;
}

static void call_page_999(const struct mischief_call* call) {
  call->out->storage_command = SILLION_STORAGE_PROGRAM;
  call->out->storage_page = 999;
}
const struct mischief programs_page_999 = {.in_describe = describe_four_pages,
                                           .in_call = call_page_999};

static void call_command_9(const struct mischief_call* call) {
  call->out->storage_command = 9;
}
const struct mischief gives_storage_command_9 = {.in_describe = describe_four_pages,
                                                 .in_call = call_command_9};

static void call_erase(const struct mischief_call* call) {
  call->out->storage_command = SILLION_STORAGE_ERASE;
}
const struct mischief erases_what_it_lacks = {.in_call = call_erase};

/* Refused in every call in which the part is busy, which is no fault. */
static void call_erase_again(const struct mischief_call* call) {
  call->out->storage_command = SILLION_STORAGE_ERASE;
  call->out->storage_page = 3;
}
const struct mischief erases_without_waiting = {.in_describe = describe_four_pages,
                                                .in_every_call = call_erase_again};

static const sillion_hardware* describe_too_many_pages(uint32_t role, sillion_hardware* honest) {
  (void)role;
  honest->storage_pages = 1000000;
  return honest;
}
const struct mischief wants_a_million_pages = {.in_describe = describe_too_many_pages};
