/* Controllers that write where nothing is theirs, or take more memory than there is. */
#define _GNU_SOURCE
#include <setjmp.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>

#include "tests/support/hostile_controllers/mischief.h"

enum { OVERRUN = 4096, SCRIBBLE = 1 << 20 };

/* An address that the compiler knows nothing of. */
static unsigned char* somewhere(uintptr_t address) {
  unsigned char* there = (unsigned char*)address;
  __asm__ volatile("" : "+r"(there));
  return there;
}

static void call_null(const struct mischief_call* call) {
  (void)call;
  *somewhere(0) = 1;
}
const struct mischief writes_to_null = {.in_call = call_null};

static void call_overrun_after(const struct mischief_call* call) {
  memset(somewhere((uintptr_t)call->block + call->block_bytes), 0xff, OVERRUN);
}
const struct mischief overruns_after = {.in_call = call_overrun_after};

static void call_overrun_before(const struct mischief_call* call) {
  memset(somewhere((uintptr_t)call->block - OVERRUN), 0xff, OVERRUN);
}
const struct mischief overruns_before = {.in_call = call_overrun_before};

/* One word, 4 KiB past the end: it leaps over any fence beside the block. */
static void call_leap(const struct mischief_call* call) {
  memset(somewhere((uintptr_t)call->block + call->block_bytes + OVERRUN - 8), 0xff, 8);
}
const struct mischief overruns_far = {.in_call = call_leap};

/* One after the other in both directions, until a page is missing. */
static void scribble(const void* around) {
  for (uintptr_t by = 0; by < SCRIBBLE; ++by) {
    *somewhere((uintptr_t)around + by) = 0xff;
    *somewhere((uintptr_t)around - by) = 0xff;
  }
}

static void call_scribble_input(const struct mischief_call* call) { scribble(call->in); }
const struct mischief scribbles_on_input = {.in_call = call_scribble_input};

static void call_scribble_output(const struct mischief_call* call) { scribble(call->out); }
const struct mischief scribbles_on_output = {.in_call = call_scribble_output};

static void call_scribble_stack(const struct mischief_call* call) {
  (void)call;
  volatile unsigned char here = 0;
  for (uintptr_t by = 0; by < SCRIBBLE; ++by) *somewhere((uintptr_t)&here + by) = 0xff;
}
const struct mischief scribbles_on_stack = {.in_call = call_scribble_stack};

static void call_scribble_heap(const struct mischief_call* call) {
  (void)call;
  void* mine = calloc(1, 64);
  scribble(mine);
  free(mine);
  free(malloc(1 << 12));
}
const struct mischief scribbles_on_heap = {.in_call = call_scribble_heap};

static void call_scribble_libc(const struct mischief_call* call) {
  (void)call;
  scribble(stdout);
  free(malloc(1 << 12));
}
const struct mischief scribbles_on_libc = {.in_call = call_scribble_libc};

/* All of it, as far as it gets: missing pages are stepped over by a handler of its own. */
static sigjmp_buf next_page;
static void step_over(int number) {
  (void)number;
  siglongjmp(next_page, 1);
}
static void scribble_pages(const void* around) {
  for (volatile intptr_t page = -64; page < 64; ++page)
    if (sigsetjmp(next_page, 1) == 0)
      memset(somewhere((uintptr_t)around + (uintptr_t)(page * 4096)), 0xff, 4096);
}
static void call_scribble_all(const struct mischief_call* call) {
  signal(SIGSEGV, step_over);
  signal(SIGBUS, step_over);
  void* mine = calloc(1, 64);
  scribble_pages(call->in);
  scribble_pages(call->out);
  scribble_pages(call->block);
  scribble_pages(mine);
  scribble_pages(stdout);
  scribble_pages(&mine);
}
const struct mischief scribbles_on_all = {.in_call = call_scribble_all};

/* What this process shares with others, as its own list of mappings tells while it still may be
 * read; made writable where it was not. */
enum { SHARED_MAX = 64 };
static uintptr_t shared_from[SHARED_MAX], shared_to[SHARED_MAX];
static int shared_count;
static void load_list_shared(void) {
  FILE* maps = fopen("/proc/self/maps", "r");
  char line[512], kind[8];
  unsigned long from, to;
  while (maps != NULL && shared_count < SHARED_MAX && fgets(line, sizeof line, maps) != NULL) {
    if (sscanf(line, "%lx-%lx %7s", &from, &to, kind) != 3 || kind[3] != 's') continue;
    shared_from[shared_count] = from;
    shared_to[shared_count++] = to;
  }
  if (maps != NULL) fclose(maps);
}
static void call_scribble_shared(const struct mischief_call* call) {
  (void)call;
  for (int k = 0; k < shared_count; ++k) {
    const size_t bytes = shared_to[k] - shared_from[k];
    if (mprotect(somewhere(shared_from[k]), bytes, PROT_READ | PROT_WRITE) == 0)
      memset(somewhere(shared_from[k]), 0xff, bytes);
  }
}
const struct mischief scribbles_on_shared = {.at_load = load_list_shared,
                                             .in_call = call_scribble_shared};

static int deeper(volatile int depth) {
  volatile char room[1024];
  room[0] = (char)depth;
  return depth < 0 ? 0 : deeper(depth + 1) + room[0];
}
static void call_recursion(const struct mischief_call* call) {
  (void)call;
  deeper(1);
}
const struct mischief recurses = {.in_call = call_recursion};

static void call_divide(const struct mischief_call* call) {
  volatile int32_t nothing = 0;
  call->out->health.resets = (uint32_t)(7 / nothing);
}
const struct mischief divides_by_zero = {.in_call = call_divide};

static void call_illegal(const struct mischief_call* call) {
  (void)call;
  __builtin_trap();
}
const struct mischief traps = {.in_call = call_illegal};

/* 64 GB in one piece, every page touched. */
static void call_huge(const struct mischief_call* call) {
  (void)call;
  const size_t bytes = (size_t)64 << 30;
  unsigned char* taken = malloc(bytes);
  for (size_t at = 0; at < bytes; at += 4096) *somewhere((uintptr_t)taken + at) = 1;
}
const struct mischief takes_64_gigabytes = {.in_call = call_huge};

static void call_hoard(const struct mischief_call* call) {
  (void)call;
  for (;;) memset(malloc(1000), 1, 1000);
}
const struct mischief hoards = {.in_call = call_hoard};

static const sillion_hardware* describe_huge(uint32_t role, sillion_hardware* honest) {
  (void)role;
  honest->memory_bytes = UINT32_MAX;
  return honest;
}
const struct mischief wants_4_gigabytes = {.in_describe = describe_huge};
