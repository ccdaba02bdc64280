// How well a sweep knows the mean that it watches, and how much is missing: as JSON, as a table and
// as a sentence.
//
// Checked  tests/sim/study/sweep/sampled_sweep_test.cc
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "sim/output/html.h"
#include "sim/study/run/report.h"
#include "sim/study/sweep/sweep.h"

namespace sim::sweep {

/// The rule: metric, half width, batch, cap, looks and confidence of each look.
nlohmann::ordered_json stop_fields(const SweepResult& result);
nlohmann::ordered_json precision_fields(const SweepResult& result, const SweepPrecision& one);
/// "2 passes", "3 nets of 8 samples"
std::string observed_words(const SweepResult& result, int count);
/// "enough", "not enough: about 40 passes more needed for ± 1.0 %", "one pass has no interval"
std::string precision_words(const SweepResult& result, const SweepPrecision& one,
                            output::Units units);
/// What was watched, when the sweep stops, and why each look has its confidence.
std::string stop_sentence(const SweepResult& result, output::Units units);
/// "within_10mm_sensed to ± 1.0 %: enough in 20 of 24 cells"
std::string precision_sentence(const SweepResult& result, output::Units units);
output::Table precision_table(const SweepResult& result, output::Units units);

}  // namespace sim::sweep
