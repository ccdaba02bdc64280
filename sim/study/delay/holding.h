// What "a row speed holds 10 mm" means: one definition for the table of `delay` and for `today`.
//
//   passes    two at each speed, each with rows, seeds and noise of its own: row.count rows,
//             tuning.seeds seeds in all; temperature, voltage and spacing half way to the ends of
//             [tuning] (delay_plan.h), so that a promised speed holds for more than one instant of
//             a day
//   trims     every row has the trim of a strip that was laid before, at the judged speed of the
//             machine that the table was tuned on
//   share     at least 95 % of the sensed seeds lie within the tolerance; the share itself counts,
//             not the lower bound of its interval
//   holds     the share is reached, D is not negative and the supply can give the flow of both
//             passes
//   fastest   the report's speeds are tried from the fastest down until one holds; then four times
//             the speed half way between it and the slowest failing one. No speed above that is
//             tried
//
// Errors   those of the passes
// Checked  tests/sim/study/delay/holding_test.cc
#pragma once

#include <functional>
#include <span>

#include "sim/study/delay/delay_report.h"

namespace sim::delay {

inline constexpr int kSpeedHalvings = 4;

bool holds(const DelaySpeed& at, int tolerance = 0, bool trimmed = true);

/// `judge` is called at most once per speed, from the fastest of `speeds_mps` down. They must rise.
FastestHeld find_fastest(std::span<const double> speeds_mps,
                         const std::function<DelaySpeed(const JudgedSpeed&)>& judge);

}  // namespace sim::delay
