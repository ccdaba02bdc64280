// The first line of every report: a sentence for its reader, figure first.
//
// Checked  tests/sim/report_test.cc
#pragma once

#include <string>

#include "sim/output/report.h"

namespace sim {

std::string run_sentence(const RunResult& result, Units units);
std::string sweep_sentence(const SweepResult& result, Units units);
/// "16.0 km/h" or "9.9 mph"
std::string speed_words(double speed_mps, Units units);
/// How much scatter below the sensor the goal still stands.
std::string break_even_sentence(const Summary& summary);

}  // namespace sim
