// The tractor's bus: ground speed and course as frames, made from the true motion with lag, noise,
// period and steps.
//
//   Backwards the speed is the amount, the direction bits say reverse, and the course over ground
//   is that of the motion, half a turn from where the machine points.
//   Error values: speed 0xFE00 error, 0xFFFF not available; direction 2 error, 3 not available.
//
// Layouts  shared/row_frames.h (ISO 11783-7 ground-based speed; PGN 129026 course and speed over
//          ground)
// Checked  tests/sim/bench/speed_bus_test.cc
#pragma once

#include <vector>

#include "model/machine/speed_signal.h"
#include "shared/controller_abi.h"
#include "sim/bench/random.h"
#include "sim/scenario/faults/seam.h"

namespace sim::bench {

std::vector<sillion_frame> bus_frames(const model::SpeedSignal& signal, long long sample,
                                      const RandomStream& stream);
/// The same frames as faults leave them. `last` holds the last frames without a fault, kept by the
/// caller; a value that is repeated comes from there.
std::vector<sillion_frame> bent_frames(const std::vector<sillion_frame>& frames,
                                       const scenario::BusSeam& seam,
                                       std::vector<sillion_frame>& last);

}  // namespace sim::bench
