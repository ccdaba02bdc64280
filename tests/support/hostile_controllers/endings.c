/* Controllers that end the process they run in, by every way that C and POSIX have. Where that
 * process is the bench, its exit code says what the controller likes. */
#define _GNU_SOURCE
#include <setjmp.h>
#include <stdlib.h>
#include <unistd.h>

#include "tests/support/hostile_controllers/mischief.h"

static void call_exit_0(const struct mischief_call* call) {
  (void)call;
  exit(0);
}
const struct mischief exit_0 = {.in_call = call_exit_0};

static void call_exit_3(const struct mischief_call* call) {
  (void)call;
  exit(3);
}
const struct mischief exit_3 = {.in_call = call_exit_3};

static void call_exit_at_once(const struct mischief_call* call) {
  (void)call;
  _exit(0);
}
const struct mischief exit_at_once = {.in_call = call_exit_at_once};

static void call_quick_exit(const struct mischief_call* call) {
  (void)call;
  quick_exit(0);
}
const struct mischief exit_quick = {.in_call = call_quick_exit};

static void call_abort(const struct mischief_call* call) {
  (void)call;
  abort();
}
const struct mischief gives_up = {.in_call = call_abort};

/* A program that always succeeds takes the place of this one. */
static void call_exec(const struct mischief_call* call) {
  (void)call;
  execl("/bin/true", "true", (char*)0);
}
const struct mischief becomes_true = {.in_call = call_exec};

/* Nothing happens in a call; when the process ends, its exit code is overridden. */
static void end_well(void) { _exit(0); }
static sillion_controller* init_atexit(sillion_controller* honest) {
  atexit(end_well);
  return honest;
}
const struct mischief ends_at_exit = {.in_init = init_atexit};

static void load_exit(void) { exit(0); }
const struct mischief load_exits = {.at_load = load_exit};

static jmp_buf nowhere; /* never set: all zero */
static void call_jump_nowhere(const struct mischief_call* call) {
  (void)call;
  longjmp(nowhere, 1);
}
const struct mischief jumps_nowhere = {.in_call = call_jump_nowhere};

/* Back into a function that has long returned. */
static jmp_buf gone;
static sillion_controller* init_mark(sillion_controller* honest) {
  if (setjmp(gone) != 0) return NULL;
  return honest;
}
static void call_jump_back(const struct mischief_call* call) {
  (void)call;
  longjmp(gone, 1);
}
const struct mischief jumps_back = {.in_init = init_mark, .in_call = call_jump_back};
