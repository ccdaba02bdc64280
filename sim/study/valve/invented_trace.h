// A bench trace that no bench wrote: the rig's model sampled, with noise and a converter's steps.
//
//   For demos and for trying a limits file. Each pulse of the drive runs alone, from still liquid,
//   and is put at its place; every `odd_every`-th with other friction of the plunger.
//   current   of the coil plus normal noise, in steps of 2 range/2^bits
//   voltage   at the terminals: supply while driven, against it (fast) or zero (slow) while current
//             flows after, then the back-EMF Kf v alone
//   mass      what has left the outlet so far
//   Draws are of key 1, by sample: the same setup gives the same bytes.
//
// Errors   InputError: pulses that run into each other (a period below on time plus 20 ms), no
//          valve, over 12 million samples; Interrupted
// Checked  tests/sim/study/valve/invented_trace_test.cc
#pragma once

#include <atomic>
#include <string>

#include "sim/study/rig/rig_setup.h"
#include "sim/study/valve/trace/valve_trace.h"

namespace sim::valve {

ValveTrace invent_trace(const rig::RigSetup& setup, const std::atomic<bool>* stop = nullptr);
/// As the reader of traces takes it.
std::string trace_csv(const ValveTrace& trace);

}  // namespace sim::valve
