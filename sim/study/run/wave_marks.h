// Marks of a waveform that only the finished pass can tell: which liquid is wanted where it lands,
// and whose band the liquid belongs to that leaves.
//
//   wanted       lands within half the commanded band of the watched seed
//   own_liquid   leaves from 0.9 L/a after an on command until 0.9 L/a after the next, while it
//                flows: the stretch that sim/bench/ground.h books to that pulse
//   seed_number  of the seed whose band it is, the first of a merged stretch; -1: nobody's
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
/// The waveform of a sealed result, with what a person needs to find the run again.
measure::Waveform waveform_of(const RunResult& result);

}  // namespace sim::run
