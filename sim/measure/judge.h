// Requirements against the figures of a summary, and the verdict that follows from them.
//
// Errors   std::invalid_argument when a requirement names no metric of the catalog
// Checked  tests/sim/measure/summary_test.cc, tests/sim/measure/temporal_test.cc
#pragma once

#include <span>

#include "sim/measure/record.h"
#include "sim/measure/summary.h"
#include "sim/measure/witness.h"
#include "sim/scenario/scenario.h"

namespace sim::measure {

/// A requirement on a metric; `worst` is the seed that the metric is worst at.
RequirementResult judged_metric(const scenario::Requirement& requirement, const Summary& summary,
                                const Witness& worst);
RequirementResult judged_in_time(const scenario::Requirement& requirement,
                                 std::span<const RowRecord> rows);
/// Wrong seed before fail before no data before hold; none where there are no requirements.
Verdict verdict_of(const Summary& summary);

/// A band's dose and length are good within these of the commanded ones.
inline constexpr double kDoseMiss_ratio = 0.10;
inline constexpr double kLengthMiss_m = 0.010;

void count_seed(const SeedRecord& seed, SeedCounts& counts);
/// Part of a whole; not-a-number of an empty one.
double share_of(long long part, long long whole);  // tidy: unit is 1
/// Adds what follows from the sums of whole rows: volumes, rates, balance.
void add_volumes(std::span<const RowRecord> rows, const scenario::Scenario& scenario,
                 Figures& figures);

}  // namespace sim::measure
