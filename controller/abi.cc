// The three functions of shared/controller_abi.h: they check what the caller gives, keep the
// block's layout and hand over to the row or machine controller inside it.

#include <cstddef>
#include <new>

#include "controller/machine_controller.h"
#include "controller/retained.h"
#include "controller/row_controller.h"
#include "controller/set_point_table.h"
#include "controller/ticks.h"

#define SILLION_EXPORT extern "C" __attribute__((visibility("default")))

struct sillion_controller {
  controller::Retained kept;
  union {
    controller::RowController row;
    controller::MachineController machine;
  };
};

namespace controller {
namespace {

// Each role asks for its own part of the union alone.
constexpr std::uint32_t kStateAt = offsetof(sillion_controller, row);
static_assert(kStateAt == offsetof(sillion_controller, machine));
constexpr std::uint32_t kRowBytes = kStateAt + sizeof(RowController);
constexpr std::uint32_t kMachineBytes = kStateAt + sizeof(MachineController);
static_assert(kRowBytes <= 2048);

// 10 bits every ms, at the periodic call, on two analog channels, pressure and supply: what the
// converter of a small microcontroller gives beside its work. The bridge drives at full duty, so
// there is no PWM. A row's storage holds the copies of the configuration and the count of its
// valve's openings, the machine's the totals of all rows. The coil's current is not asked for at a
// call; a burst of it comes with each opening (opening_seen.h).
constexpr sillion_hardware kRowHardware{SILLION_ABI_VERSION,
                                        kTickNs,
                                        32,
                                        2,
                                        SILLION_EDGES_MAX,
                                        2,
                                        kAnalogBits,
                                        1000,
                                        kBurstSamples,
                                        kBurstPeriodTicks,
                                        0,
                                        kPeriodTicks,
                                        1,
                                        0,
                                        kRowBytes,
                                        kRowPages};
constexpr sillion_hardware kMachineHardware{
    SILLION_ABI_VERSION, kTickNs,     32, 0, 0, 1, kAnalogBits, 100, 0, 0, 0, kPeriodTicks, 1, 0,
    kMachineBytes,       kTotalsPages};

bool within(std::int64_t value, std::int64_t least, std::int64_t most) {
  return value >= least && value <= most;
}

/// Whether these settings can be worked with: inside these bounds no product leaves 64 bits and no
/// instant leaves half a counter range.
bool workable(const sillion_config& config) {
  const sillion_attachment_table& table = config.attachment;
  return within(config.rows, 1, kMostRows) && within(config.row, 0, kMostRows - 1) &&
         within(config.row_y_mm, -50'000, 50'000) && within(config.row_width_um, 1, 5'000'000) &&
         within(config.theoretical_spacing_um, 1, 10'000'000) &&
         within(config.band_length_um, 1, 2'000'000) &&
         within(config.in_band_rate_nm, 0, 100'000) && within(config.trim_um, -500'000, 500'000) &&
         within(config.seed_dwell_us, 0, 1'000'000) && within(config.speed_timeout_ms, 1, 10'000) &&
         within(config.speed_lag_ms, 0, 5'000) &&
         within(config.meter_mm3_per_pulse, 0, 1'000'000) &&
         within(config.pressure_max_pa, 0, 10'000'000) &&
         within(config.liquid_viscosity_upas, 0, 10'000'000) &&
         within(table.delay_time_us, -5'000'000, 5'000'000) &&
         within(table.delay_distance_um, -5'000'000, 5'000'000) &&
         within(table.reference_band_um, 0, 2'000'000) &&
         within(table.reference_lead_us, -1'000'000, 1'000'000) &&
         within(table.shortest_on_us, 0, 1'000'000) &&
         within(table.shortest_closed_us, 0, 1'000'000) && usable(table);
}

}  // namespace
}  // namespace controller

SILLION_EXPORT const sillion_hardware* sillion_describe(uint32_t role) {
  if (role == SILLION_ROLE_ROW) return &controller::kRowHardware;
  if (role == SILLION_ROLE_MACHINE) return &controller::kMachineHardware;
  return nullptr;
}

SILLION_EXPORT sillion_controller* sillion_init(void* memory, size_t size,
                                                const sillion_config* config, const void* retained,
                                                size_t retained_size, const void* storage,
                                                size_t storage_size) {
  if (memory == nullptr || config == nullptr) return nullptr;
  if (reinterpret_cast<std::uintptr_t>(memory) % alignof(sillion_controller) != 0) return nullptr;
  const sillion_hardware* hardware = sillion_describe(config->role);
  if (hardware == nullptr || size < hardware->memory_bytes) return nullptr;
  if (!controller::workable(*config)) return nullptr;
  // The retained memory may be this very block: what survives is read before anything is written.
  const controller::Retained kept =
      controller::retained_from(retained, retained_size, config->role, config->reset_cause);
  auto* block = static_cast<sillion_controller*>(memory);
  new (&block->kept) controller::Retained(kept);
  if (config->role == SILLION_ROLE_ROW) {
    new (&block->row)
        controller::RowController(controller::row_controller_for(*config, storage, storage_size));
  } else {
    new (&block->machine) controller::MachineController(
        controller::machine_controller_for(*config, storage, storage_size, kept.health.resets));
  }
  controller::seal(block->kept);
  return block;
}

SILLION_EXPORT void sillion_step(sillion_controller* block, const sillion_input* in,
                                 sillion_output* out) {
  if (block == nullptr || in == nullptr || out == nullptr) return;
  controller::Report report{*out, block->kept.health, in->now_ticks};
  if (block->kept.role == SILLION_ROLE_ROW) {
    step(block->row, *in, report);
  } else {
    step(block->machine, *in, report);
  }
  out->health = block->kept.health;
  controller::seal(block->kept);
}
