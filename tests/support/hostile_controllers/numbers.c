/* Controllers that change how the bench calculates, or return what the interface does not have. */
#include <fenv.h>
#include <stdint.h>
#include <string.h>
#if defined(__SSE__)
#include <xmmintrin.h>
#endif

#include "tests/support/hostile_controllers/mischief.h"

static void call_round(const struct mischief_call* call) {
  (void)call;
  fesetround(FE_UPWARD);
}
const struct mischief rounds_up = {.in_call = call_round};

static void call_flush(const struct mischief_call* call) {
  (void)call;
#if defined(__SSE__)
  _mm_setcsr(_mm_getcsr() ^ 0x8040u);
#endif
}
const struct mischief flushes_to_zero = {.in_call = call_flush};

static void call_nan(const struct mischief_call* call) {
  volatile float zero = 0.0F;
  volatile float none = zero / zero;
  call->out->health.resets = none > 0.0F ? 1 : 0;
}
const struct mischief not_a_number = {.in_call = call_nan};

static void call_garbage(const struct mischief_call* call) {
  memset(call->out, 0xff, sizeof *call->out);
}
const struct mischief returns_garbage = {.in_call = call_garbage};

static void call_counts(const struct mischief_call* call) { call->out->event_count = 1000000; }
const struct mischief counts_too_far = {.in_call = call_counts};

static void call_channel(const struct mischief_call* call) {
  call->out->compare_count = 1;
  call->out->compares[0].at_ticks = call->in->now_ticks + 1;
  call->out->compares[0].channel = 200;
  call->out->compares[0].armed = 1;
}
const struct mischief uses_channel_200 = {.in_call = call_channel};

static void call_bridge(const struct mischief_call* call) {
  call->out->bridge_valid = 1;
  call->out->bridge.state = 77;
}
const struct mischief sets_bridge_77 = {.in_call = call_bridge};

/* Longer than its bytes: whoever copies it by its length reads what lies behind. */
static void call_frame(const struct mischief_call* call) {
  call->out->frame_count = 1;
  call->out->frames[0].id = 0x101;
  call->out->frames[0].length = 255;
}
const struct mischief sends_255_bytes = {.in_call = call_frame};
