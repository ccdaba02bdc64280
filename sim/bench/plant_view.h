// What a controller's pins and converters see of the plant just now.
//
// Checked  tests/sim/bench/controller_port_test.cc
#pragma once

#include <cstdint>

#include "shared/time.h"

namespace sim::bench {

struct PlantView {
  double pressure_pa = 0.0;
  double supply_voltage_v = 0.0;
  double coil_current_a = 0.0;
  std::uint32_t meter_pulses = 0;
  shared::Instant meter_last{};
  std::uint32_t digital = 0;
};

}  // namespace sim::bench
