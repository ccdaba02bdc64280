// Marks of a waveform that are known only after the pass: whether liquid lands where it is wanted,
// and to whose band the liquid belongs that leaves the outlet.
//
//   wanted       lands within half the commanded band of the watched seed
//   own_liquid   leaves from 0.9 L/a after an on command until 0.9 L/a after the next, while it
//                flows: the stretch that sim/bench/ground.h assigns to that pulse
//   seed_number  seed to which the band belongs, the first of a merged stretch; -1: no seed
//
// In       a row whose bands are matched to its seeds (sim/measure/placement.h)
// Errors   none
// Checked  tests/sim/bench/wave_recorder_test.cc
#pragma once

#include <vector>

#include "sim/study/run/run.h"

namespace sim::run {

void mark_wave(const measure::RowRecord& row, int watched_seed, const RunResult& result,
               std::vector<measure::WaveInstant>& wave);
/// The waveform of a sealed result, with the notes that a person needs to find the run again.
measure::Waveform waveform_of(const RunResult& result);

}  // namespace sim::run
