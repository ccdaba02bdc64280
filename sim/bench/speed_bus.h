// The tractor's bus: ground speed and course as frames, made from the true motion with lag, noise,
// period and steps.
//
// Layouts  shared/row_frames.h (ISO 11783-7 ground-based speed; PGN 129026 course and speed over
//          ground)
// Checked  tests/sim/speed_bus_test.cc
#pragma once

#include <vector>

#include "model/machine/speed_signal.h"
#include "shared/controller_abi.h"
#include "sim/bench/random.h"

namespace sim {

std::vector<sillion_frame> bus_frames(const model::SpeedSignal& signal, long long sample,
                                      const RandomStream& stream);

}  // namespace sim
