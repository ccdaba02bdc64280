#include "sim/bench/storage_setup.h"

#include <algorithm>

#include "sim/bench/pass.h"
#include "sim/scenario/faults/catalog.h"

namespace sim::bench {
namespace {

constexpr std::uint32_t kMachineStream = 0xffff;  // no row has this number

}  // namespace

bool states_storage(const scenario::Scenario& scenario) {
  const scenario::ControllerSection& stated = scenario.controller;
  const scenario::ControllerSection usual;
  return !stated.storage_image.empty() || stated.storage_erase_s != usual.storage_erase_s ||
         stated.storage_program_s != usual.storage_program_s ||
         stated.storage_endurance != usual.storage_endurance ||
         std::ranges::any_of(scenario.faults, [](const scenario::FaultEntry& fault) {
           return fault.kind == scenario::StorageCut::kName ||
                  fault.kind == scenario::StorageDamaged::kName ||
                  fault.kind == scenario::StorageWorn::kName;
         });
}

StorageSetup storage_setup(const scenario::Scenario& scenario, int row, std::uint32_t pass) {
  const scenario::ControllerSection& stated = scenario.controller;
  StorageSetup setup{.erase = shared::duration_of(stated.storage_erase_s),
                     .program = shared::duration_of(stated.storage_program_s),
                     .endurance = stated.storage_endurance};
  setup.stream = {.rng_key = scenario.rng_key,
                  .row = row < 0 ? kMachineStream : static_cast<std::uint32_t>(row),
                  .pass = pass};
  if (row == scenario::kMachine) return setup;
  setup.image = stated.storage_image;
  for (const scenario::StorageSeam& fault : scenario::storage_faults(scenario, row)) {
    if (fault.worn) setup.erases_before = stated.storage_endurance;
    if (fault.damaged_bits > 0) setup.damage.emplace_back(fault.page, fault.damaged_bits);
    if (fault.cut_write > 0)
      setup.cuts.push_back({.write = fault.cut_write,
                            .bytes = fault.cut_bytes,
                            .off = shared::duration_of(fault.cut_off_s),
                            .fault = fault.entry});
  }
  return setup;
}

void mark_storage_faults(const scenario::Scenario& scenario, int row, const ControllerPort& port) {
  const Storage& storage = port.storage();
  for (const scenario::StorageSeam& fault : scenario::storage_faults(scenario, row)) {
    const bool cut = std::ranges::any_of(storage.cuts(), [&](const StorageCut& one) {
      return one.fault == fault.entry && one.fired;
    });
    const bool damaged = fault.damaged_bits > 0 && fault.page < static_cast<int>(storage.pages());
    if (cut || damaged || (fault.worn && storage.stuck_bits() > 0))
      scenario::mark_acted(scenario, fault.entry);
  }
}

shared::Duration pwm_period(ControllerHost& host, double clock_drift_ratio) {
  try {
    const std::optional<sillion_hardware> hardware = host.describe(SILLION_ROLE_ROW);
    if (!hardware) return {};
    const double nominal_s = 1e-9 * hardware->tick_ns * hardware->pwm_period_ticks;
    return shared::duration_of(nominal_s / (1.0 + clock_drift_ratio));
  } catch (const HostFault& error) {
    throw ControllerError(error.what());
  }
}

}  // namespace sim::bench
