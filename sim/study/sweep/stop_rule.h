// When a study has run enough: a pure function of what its finished batches show.
//
//   look        after every whole batch, once two observations are there; L looks are planned
//   interval    mean +- t(miss/2, n-1) * sd / sqrt(n) at miss = 5 % / L (Bonferroni), so that all
//               intervals that are ever looked at hold together with at least 95 %, and with them
//               the one at which the rule stops
//   shares      for a share of counted seeds the interval is never narrower than Wilson's of the
//               pooled counts: passes that agree by chance, all good, show no spread
//   stop        as soon as no end of the interval lies further than the half width from the mean,
//               or when all that may run has run
//
// An observation is a pass (its rows share speed signal and drop height, so rows are none), a
// sample, or a net of samples. One that is not-a-number leaves no interval: missing data is never
// enough.
// Source   Bonferroni's inequality; E. B. Wilson, J. Am. Stat. Assoc. 22, 1927 (from memory)
// Checked  tests/sim/study/sweep/stop_rule_test.cc
#pragma once

#include <cstdint>
#include <span>

#include "sim/measure/record.h"

namespace sim::sweep {

struct Observation {
  double value_si = statistics::kNone_ratio;
  long long trials = 0;  // seeds that a share is of; 0: no share of seeds
};

/// Counted in observations. most = 0: nothing is added, the one look takes what is there.
struct StopPlan {
  double half_width_si = 0.0;
  int batch = 1;
  int most = 0;
};

struct MeanInterval {
  double mean_si = statistics::kNone_ratio;
  double low_si = statistics::kNone_ratio;
  double high_si = statistics::kNone_ratio;
  double half_width_si = statistics::kNone_ratio;  // of the wider side
};

enum class StopState : std::uint8_t {
  kGoesOn,
  kEnough,     // the interval is narrow enough
  kNotEnough,  // all that may run has run
};

/// Looks that the plan holds, at least 1.
int looks_of(const StopPlan& plan);
/// Share of studies in which the interval of one look may miss.
double look_miss_ratio(const StopPlan& plan);
/// Not-a-number with fewer than two observations, but for the mean.
MeanInterval mean_interval(std::span<const Observation> seen, double miss_ratio);
/// After a whole batch; `last`: no further one may run.
StopState stop_state(std::span<const Observation> seen, const StopPlan& plan, bool last);
/// Observations that would do if they scatter as those seen; 0: not to be told from so few.
int needed_of(std::span<const Observation> seen, const StopPlan& plan);

}  // namespace sim::sweep
