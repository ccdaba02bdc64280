// An invented bench trace: the rig's model sampled, with noise and the steps of a converter.
//
//   It serves demos and trials of a limits file. Each pulse of the drive is simulated alone, from
//   still liquid, and put at its place in time; every `odd_every`-th has another friction of the
//   plunger.
//   current   the coil's current plus normal noise, in steps of 2 range/2^bits
//   voltage   at the terminals: the supply while driven; after the command, while current flows,
//             the supply reversed (fast decay) or zero (slow decay); then the back-EMF Kf v alone
//             (reluctance law: what the fading field induces)
//   mass      what has left the outlet so far
//   Random draws have key 1 and are indexed by sample: the same setup gives the same bytes.
//
// Errors   InputError: pulses that run into each other (a period below on time plus 20 ms), a setup
//          without valve, more than 12 million samples; Interrupted
// Checked  tests/sim/study/valve/invented_trace_test.cc
#pragma once

#include <atomic>
#include <string>

#include "sim/study/rig/rig_setup.h"
#include "sim/study/valve/trace/valve_trace.h"

namespace sim::valve {

ValveTrace invent_trace(const rig::RigSetup& setup, const std::atomic<bool>* stop = nullptr);
/// The trace as text that the reader of traces accepts.
std::string trace_csv(const ValveTrace& trace);

}  // namespace sim::valve
