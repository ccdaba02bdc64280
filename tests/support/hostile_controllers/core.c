/* The honest part that all hostile controllers share: the example controller, and the hooks at which
 * the mischief named MISCHIEF by the build steps in. */
#define sillion_describe honest_describe
#define sillion_init honest_init
#define sillion_step honest_step
#include "tests/support/example_controller.c"
#undef sillion_describe
#undef sillion_init
#undef sillion_step

#include "tests/support/hostile_controllers/mischief.h"

const sillion_hardware* sillion_describe(uint32_t role);
sillion_controller* sillion_init(void* memory, size_t size, const sillion_config* config,
                                 const void* retained, size_t retained_size, const void* storage,
                                 size_t storage_size);
void sillion_step(sillion_controller* controller, const sillion_input* in, sillion_output* out);

extern const struct mischief MISCHIEF;

typedef struct {
  state honest;
  uint32_t row;
  uint32_t calls;
} hostile;

__attribute__((constructor)) static void load(void) {
  if (MISCHIEF.at_load != NULL) MISCHIEF.at_load();
}

const sillion_hardware* sillion_describe(uint32_t role) {
  static sillion_hardware hardware;
  const sillion_hardware* honest = honest_describe(role);
  if (honest == NULL) return NULL;
  hardware = *honest;
  hardware.memory_bytes = sizeof(hostile);
  return MISCHIEF.in_describe != NULL ? MISCHIEF.in_describe(role, &hardware) : &hardware;
}

sillion_controller* sillion_init(void* memory, size_t size, const sillion_config* config,
                                 const void* retained, size_t retained_size, const void* storage,
                                 size_t storage_size) {
  sillion_controller* controller =
      honest_init(memory, size, config, retained, retained_size, storage, storage_size);
  if (controller == NULL || size < sizeof(hostile)) return NULL;
  hostile* self = memory;
  self->row = config->row;
  self->calls = 0;
  const int here = config->role == SILLION_ROLE_ROW && config->row == MISCHIEF_ROW;
  return here && MISCHIEF.in_init != NULL ? MISCHIEF.in_init(controller) : controller;
}

void sillion_step(sillion_controller* controller, const sillion_input* in, sillion_output* out) {
  hostile* self = (hostile*)controller;
  honest_step(controller, in, out);
  if (self->honest.role != SILLION_ROLE_ROW || self->row != MISCHIEF_ROW) return;
  const struct mischief_call call = {(unsigned char*)self, sizeof *self, in, out};
  if (MISCHIEF.in_every_call != NULL) MISCHIEF.in_every_call(&call);
  if (self->calls++ == MISCHIEF_CALL && MISCHIEF.in_call != NULL) MISCHIEF.in_call(&call);
}
