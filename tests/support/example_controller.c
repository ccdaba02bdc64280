/* The smallest controller that lays a band beside every seed: one fixed delay, one fixed on time.
 *
 * A row fires its valve so long after each edge and closes it so much later; the machine's role
 * asks for one pressure. No speed correction, no safe state, no queue of more than the seeds
 * between sensor and furrow: enough to see a first report, not to plant with.
 *
 *   cc -std=c11 -shared -fPIC -I. tests/support/example_controller.c -o build/example.so
 *   build/release/sillion run scenarios/demo.toml --controller build/example.so
 */
#include <string.h>

#include "shared/controller_abi.h"

enum { QUEUE = 16, OPEN = 0, CLOSE = 1 };

typedef struct {
  uint32_t role;
  uint32_t delay_us;
  uint32_t on_us;
  uint32_t pressure_pa;
  uint32_t current_ma;
  uint32_t open_at[QUEUE]; /* instants of opening, oldest first */
  uint32_t waiting;
  int armed; /* the oldest is in the compare channels */
} state;

static const sillion_hardware kHardware = {
    .abi_version = SILLION_ABI_VERSION,
    .tick_ns = 1000,
    .counter_bits = 32,
    .compare_channels = 2,
    .capture_fifo_depth = 8,
    .analog_channels = 0,
    .analog_bits = 10,
    .analog_rate_hz = 100,
    .period_ticks = 1000,
    .compare_in_hardware = 1,
    .memory_bytes = sizeof(state),
};

__attribute__((visibility("default"))) const sillion_hardware* sillion_describe(uint32_t role) {
  return role == SILLION_ROLE_ROW || role == SILLION_ROLE_MACHINE ? &kHardware : NULL;
}

__attribute__((visibility("default"))) sillion_controller* sillion_init(
    void* memory, size_t size, const sillion_config* config, const void* retained,
    size_t retained_size, const void* storage, size_t storage_size) {
  (void)retained;
  (void)retained_size;
  (void)storage;
  (void)storage_size;
  if (memory == NULL || config == NULL || size < sizeof(state)) return NULL;
  const sillion_attachment_table* table = &config->attachment;
  if (table->points < 1) return NULL;
  state* self = memory;
  memset(self, 0, sizeof *self);
  self->role = config->role;
  /* D = a + b/v, taken at 4 m/s whatever the speed is */
  const int64_t delay_us =
      table->delay_time_us + (int64_t)table->delay_distance_um * 1000000 / 4000000;
  self->delay_us = (uint32_t)(delay_us < 0 ? 0 : delay_us);
  self->on_us = (uint32_t)(config->band_length_um / 4);
  self->current_ma = (uint32_t)table->current_ma[table->points - 1];
  self->pressure_pa = (uint32_t)table->pressure_pa[table->points / 2];
  return (sillion_controller*)self;
}

static void request(sillion_output* out, uint8_t channel, uint32_t at, uint16_t bridge,
                    uint32_t current_ma) {
  sillion_compare_request* asked = &out->compares[out->compare_count++];
  asked->at_ticks = at;
  asked->channel = channel;
  asked->armed = 1;
  asked->then.state = bridge;
  asked->then.duty_q15 = bridge == SILLION_BRIDGE_DRIVE ? 32768 : 0;
  asked->then.current_ma = current_ma;
}

static void step_row(state* self, const sillion_input* in, sillion_output* out) {
  for (uint32_t k = 0; k < in->edge_count; ++k)
    if (in->edges[k].rising != 0 && self->waiting < QUEUE)
      self->open_at[self->waiting++] = in->edges[k].at_ticks + self->delay_us;
  if (in->compare[CLOSE] != 0 && self->waiting > 0) {
    memmove(self->open_at, self->open_at + 1, (QUEUE - 1) * sizeof self->open_at[0]);
    --self->waiting;
    self->armed = 0;
  }
  if (self->armed || self->waiting == 0) return;
  self->armed = 1;
  uint32_t open_at = self->open_at[0];
  if ((int32_t)(open_at - in->now_ticks) < 1) open_at = in->now_ticks + 1; /* late: at once */
  request(out, OPEN, open_at, SILLION_BRIDGE_DRIVE, self->current_ma);
  request(out, CLOSE, open_at + self->on_us, SILLION_BRIDGE_FAST_DECAY, 0);
}

__attribute__((visibility("default"))) void sillion_step(sillion_controller* controller,
                                                         const sillion_input* in,
                                                         sillion_output* out) {
  state* self = (state*)controller;
  if (self->role == SILLION_ROLE_ROW) {
    step_row(self, in, out);
  } else {
    out->pressure_setpoint_valid = 1;
    out->pressure_setpoint_pa = self->pressure_pa;
  }
}
