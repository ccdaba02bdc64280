/* Controllers that do not come back: by work, by sleep, and deaf to every signal. */
#define _GNU_SOURCE
#include <signal.h>
#include <time.h>
#include <unistd.h>

#include "tests/support/hostile_controllers/mischief.h"

static void loop(void) {
  for (;;) __asm__ volatile("");
}

static void call_loop(const struct mischief_call* call) {
  (void)call;
  loop();
}
const struct mischief loops = {.in_call = call_loop};

static void call_loop_deaf(const struct mischief_call* call) {
  (void)call;
  sigset_t all;
  sigfillset(&all);
  sigprocmask(SIG_SETMASK, &all, NULL);
  for (int number = 1; number < NSIG; ++number) signal(number, SIG_IGN);
  loop();
}
const struct mischief loops_deaf = {.in_call = call_loop_deaf};

static void call_sleep(const struct mischief_call* call) {
  (void)call;
  sleep(10);
}
const struct mischief sleeps = {.in_call = call_sleep};

static void call_nap(const struct mischief_call* call) {
  (void)call;
  for (int k = 0; k < 10000; ++k) {
    const struct timespec nap = {.tv_nsec = 1000000};
    nanosleep(&nap, NULL);
  }
}
const struct mischief naps = {.in_call = call_nap};

static void call_pause(const struct mischief_call* call) {
  (void)call;
  pause();
}
const struct mischief pauses = {.in_call = call_pause};

/* No system call and no progress to see: it waits for a byte that nobody writes. */
static void call_read(const struct mischief_call* call) {
  (void)call;
  int ends[2];
  char byte;
  if (pipe(ends) == 0 && read(ends[0], &byte, 1) == 1) loop();
}
const struct mischief waits_for_a_byte = {.in_call = call_read};

const struct mischief load_loops = {.at_load = loop};
