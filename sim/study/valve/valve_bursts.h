// Bursts of a valve: up to which repetition no pulse spoils the next.
//
// Definitions and errors: valve_programme.h.
// Checked  tests/sim/study/valve/valve_programme_test.cc, tests/published/valve_signs_test.cc
#pragma once

#include <vector>

#include "sim/study/valve/valve_programme.h"

namespace sim::valve {

/// Even train: `pulses` pulses of `on_s`, one every `period_s`; the first starts at 1 ms.
std::vector<bench::PulseCommand> even_train(double on_s, double period_s, int pulses);
/// The shortest gap between two commands after which the plunger is seated before the second.
double shortest_closed_s(const rig::RigSetup& setup, const std::atomic<bool>* stop);
RepetitionRun run_repetition(const rig::RigSetup& setup, double rate_hz, double shortest_gap_s,
                             const std::atomic<bool>* stop);
RepeatFigures run_repeatability(const rig::RigSetup& setup, const std::atomic<bool>* stop);

}  // namespace sim::valve
